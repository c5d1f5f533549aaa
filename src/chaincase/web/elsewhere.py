"""Signing in with the company's own account: OpenID Connect, authorization code flow with PKCE (RFC 7636).

What must survive the trip (state, nonce, verifier) travels in a signed cookie of ten minutes that no script can read.
"""

import hmac
from dataclasses import asdict, dataclass
from secrets import token_urlsafe
from typing import Any, Final, cast
from urllib.parse import urlencode

import httpx
from authlib.oauth2.rfc7636 import create_s256_code_challenge
from authlib.oidc.core import CodeIDToken
from joserfc import jwt
from joserfc.errors import JoseError
from joserfc.jwk import KeySet, KeySetSerialization

from chaincase.register import accounts
from chaincase.web.faults import Refused
from chaincase.web.people import Entry, enter, person_by_email
from chaincase.web.server import Server
from chaincase.web.settings import Oidc
from chaincase.web.signing import ELSEWHERE, opened, signed

LASTS: Final = 600
"""Seconds that somebody has to sign in elsewhere."""
_ALGORITHMS: Final = ["RS256", "ES256", "PS256", "EdDSA"]
_SECONDS: Final = 10.0


@dataclass(frozen=True, slots=True)
class Trip:
    """What is remembered while somebody signs in elsewhere."""

    state: str
    nonce: str
    verifier: str


def begin(server: Server) -> tuple[str, str]:
    """Give the address to go to, and the text to keep in a cookie meanwhile.

    Raises
    ------
    Refused
        503 if it does not answer.
    """
    oidc = _provider(server)
    trip = Trip(token_urlsafe(24), token_urlsafe(24), token_urlsafe(48))
    asked = {
        "response_type": "code",
        "client_id": oidc.client,
        "redirect_uri": _back(server),
        "scope": "openid email profile",
        "state": trip.state,
        "nonce": trip.nonce,
        "code_challenge": create_s256_code_challenge(trip.verifier),
        "code_challenge_method": "S256",
    }
    address = _configuration(oidc)["authorization_endpoint"]
    joined = f"{address}{'&' if '?' in address else '?'}{urlencode(asked)}"
    return joined, signed(server.settings.secret, ELSEWHERE, asdict(trip))


def finish(server: Server, *, code: str, state: str, kept: str) -> Entry:
    """Sign in whoever comes back.

    Raises
    ------
    Refused
        401 if the trip is not the one that began here or the provider's word does not hold, 403 without an account.
    """
    oidc = _provider(server)
    found = opened(server.settings.secret, ELSEWHERE, kept, LASTS)
    if not isinstance(found, dict) or not hmac.compare_digest(str(found["state"]).encode(), state.encode()):
        raise Refused(401, "This sign-in did not begin here.", "Begin again on the sign-in page.")
    claims = _claims(server, oidc, code, Trip(**found))
    return _enter(
        server, str(claims["sub"]), str(claims.get("email", "")), verified=claims.get("email_verified") is True
    )


def _enter(server: Server, subject: str, email: str, *, verified: bool) -> Entry:
    """Sign in by the subject; the first time it is bound to the account of the verified address."""
    fresh = person_by_email(server, email) if verified and email else None
    with server.register.store.write() as db:
        person = accounts.person_of_subject(db, subject)
        if person is None and fresh is not None and not accounts.has_subject(db, fresh.id):
            accounts.bind_subject(db, subject, fresh.id)
            person = fresh.id
    if person is None:
        raise Refused(403, "There is no account for this address here.", "Ask an administrator for one.")
    row = server.register.people.get(person)
    if row.disabled:
        raise Refused(403, "This account is closed.", "Ask an administrator.")
    return enter(server, row.id, row.email)


def _claims(server: Server, oidc: Oidc, code: str, trip: Trip) -> dict[str, Any]:
    """Exchange the code for what the provider says, and check every word of it."""
    configured = _configuration(oidc)
    given = {
        "grant_type": "authorization_code",
        "code": code,
        "redirect_uri": _back(server),
        "code_verifier": trip.verifier,
    }
    tokens = _asked(configured["token_endpoint"], given, httpx.BasicAuth(oidc.client, oidc.secret))
    keys = KeySet.import_key_set(cast("KeySetSerialization", _asked(configured["jwks_uri"])))
    wanted = {
        "iss": {"essential": True, "value": oidc.issuer},
        "aud": {"essential": True, "value": oidc.client},
        "nonce": {"essential": True, "value": trip.nonce},
        "sub": {"essential": True},
    }
    try:
        token = jwt.decode(str(tokens.get("id_token", "")), keys, algorithms=_ALGORITHMS)
        claims = CodeIDToken(token.claims, token.header, wanted, {"nonce": trip.nonce, "client_id": oidc.client})
        claims.validate(leeway=60)
    except (JoseError, ValueError, AttributeError) as fault:
        raise Refused(401, "What the company's sign-in says cannot be trusted.", "Begin again.") from fault
    return dict(claims)


def _configuration(oidc: Oidc) -> dict[str, Any]:
    found = _asked(f"{oidc.issuer}/.well-known/openid-configuration")
    if found.get("issuer") != oidc.issuer:
        raise Refused(503, "The company's sign-in names itself otherwise than it is set up here.", "Tell us.")
    return found


def _asked(address: str, form: dict[str, str] | None = None, auth: httpx.BasicAuth | None = None) -> dict[str, Any]:
    try:
        with httpx.Client(timeout=_SECONDS, trust_env=False) as client:
            answer = client.get(address) if auth is None else client.post(address, data=form, auth=auth)
        answer.raise_for_status()
        found = answer.json()
    except (httpx.HTTPError, ValueError) as fault:
        raise Refused(503, "The company's sign-in does not answer.", "Try again in a while.") from fault
    if not isinstance(found, dict):
        raise Refused(503, "The company's sign-in does not answer.", "Try again in a while.")
    return found


def _provider(server: Server) -> Oidc:
    if server.settings.oidc is None:
        raise Refused(404)
    return server.settings.oidc


def _back(server: Server) -> str:
    return f"{server.settings.address}/sign-in/back"
