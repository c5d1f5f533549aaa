"""What a running server must know, checked before it starts."""

import ipaddress
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import urlsplit

from chaincase.errors import BadInput

LEAST_SECRET = 32
"""Characters of the secret that signs links and invitations."""


@dataclass(frozen=True, slots=True)
class Oidc:
    """Where people sign in elsewhere.

    Attributes
    ----------
    issuer : str
        Address of the provider; its configuration is read from `/.well-known/openid-configuration` below it.
    client, secret : str
        What the provider knows this server by.
    label : str
        Words on the sign-in button.
    """

    issuer: str
    client: str
    secret: str
    label: str


@dataclass(frozen=True, slots=True)
class Settings:
    """What a running server must know.

    Attributes
    ----------
    data : Path
        Folder with the register's file, the photographs and the secret.
    url : str
        PostgreSQL database; empty for a file in the data folder.
    address : str
        What people type to reach the server, without a slash at the end: `http://127.0.0.1:8765`.
    host, port : str, int
        What the server binds.
    secret : str
        Signs links and invitations.
    token : str
        Local mode: what the opened address carries. Empty where accounts are used.
    oidc : Oidc, optional
        Sign-in elsewhere.
    files : str
        Where photographs and papers are, if not in the data folder: a folder, or a URL of a file store.
    jobs : bool
        Whether this server does bulk work itself; else `chaincase work` does it.
    """

    data: Path
    url: str
    address: str
    host: str
    port: int
    secret: str
    token: str
    oidc: Oidc | None = None
    files: str = ""
    jobs: bool = True

    @property
    def local(self) -> bool:
        """Say whether this is one person's own computer, without accounts."""
        return bool(self.token)

    @property
    def https(self) -> bool:
        """Say whether people reach the server by https; then cookies and HSTS insist on it."""
        return self.address.startswith("https://")

    @property
    def hosts(self) -> frozenset[str]:
        """Give the values of the Host header that are answered."""
        own = urlsplit(self.address).netloc.lower()
        names = {own, f"127.0.0.1:{self.port}", f"localhost:{self.port}"} if self.local else {own}
        usual = ":443" if self.https else ":80"  # which browsers leave away
        return frozenset(names | {name.removesuffix(usual) for name in names})

    @property
    def origins(self) -> frozenset[str]:
        """Give the origins that may change something."""
        scheme = urlsplit(self.address).scheme
        return frozenset(f"{scheme}://{host}" for host in self.hosts)


def settings_for(
    data: Path,
    *,
    port: int,
    host: str = "127.0.0.1",
    url: str = "",
    accounts: bool = False,
    address: str = "",
    files: str = "",
    jobs: bool = True,
    environment: Mapping[str, str] = os.environ,
) -> Settings:
    """Give the settings of a server that is about to start; its data folder and secret are made if missing.

    Raises
    ------
    BadInput
        If it would be reachable from elsewhere without accounts, the address is none, the data folder cannot be
        made, or a secret is too short.
    """
    check_binding(host, accounts=accounts)
    folder = _made(data)
    reached = (_checked_address(address) if address else f"http://{_for_url(host)}:{port}").rstrip("/")
    return Settings(
        data=folder,
        url=url,
        address=reached,
        host=host,
        port=port,
        secret=_given_secret(environment) if environment.get("CHAINCASE_SECRET") else _kept_secret(folder),
        token="" if accounts else secrets.token_urlsafe(32),
        oidc=_oidc(environment) if accounts else None,
        files=files,
        jobs=jobs,
    )


def is_loopback(host: str) -> bool:
    """Say whether only this computer can reach an address.

    >>> is_loopback("127.0.0.1"), is_loopback("localhost"), is_loopback("0.0.0.0")
    (True, True, False)
    """
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def check_binding(host: str, *, accounts: bool) -> None:
    """Refuse to be reached from other computers without accounts.

    Raises
    ------
    BadInput
        If it would be.
    """
    if accounts or is_loopback(host):
        return
    raise BadInput(
        f"{host} can be reached from other computers, and there are no accounts",
        where="--host",
        right="add --accounts, or leave --host away so that only this computer can open the pages",
    )


def _for_url(host: str) -> str:
    return f"[{host}]" if ":" in host else host


def _checked_address(address: str) -> str:
    parts = urlsplit(address)
    if parts.scheme in {"http", "https"} and parts.netloc and parts.path in {"", "/"} and not parts.query:
        return address
    raise BadInput(
        f"{address!r} is not an address of a server", where="--address", right="write it as https://chains.example.com"
    )


def _made(folder: Path) -> Path:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as fault:
        raise BadInput(
            f"the folder cannot be made: {fault.strerror}", where=str(folder), right="name a folder that can be written"
        ) from None
    return folder.resolve()


def _given_secret(environment: Mapping[str, str]) -> str:
    secret = environment["CHAINCASE_SECRET"]
    if len(secret) < LEAST_SECRET or len(set(secret)) < LEAST_SECRET // 4:
        raise BadInput(
            "the secret is too easy to guess",
            where="CHAINCASE_SECRET",
            right=f"give {LEAST_SECRET} random characters or more, or none so that one is made and kept",
        )
    return secret


def _kept_secret(folder: Path) -> str:
    """Give the secret of a data folder, made at the first start; only its owner can read it."""
    path = folder / "secret"
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        secret = path.read_text("ascii").strip()
    else:
        secret = secrets.token_urlsafe(LEAST_SECRET)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secret)
    if len(secret) < LEAST_SECRET:
        raise BadInput("the secret is too short", where=str(path), right="delete the file; a new one is made")
    return secret


def _oidc(environment: Mapping[str, str]) -> Oidc | None:
    names = ("CHAINCASE_OIDC_ISSUER", "CHAINCASE_OIDC_CLIENT", "CHAINCASE_OIDC_SECRET")
    given = [environment.get(name, "") for name in names]
    if not any(given):
        return None
    for name, value in zip(names, given, strict=True):
        if not value:
            raise BadInput("is not set, though others of its kind are", where=name, right=f"set {', '.join(names)}")
    if find_spec("authlib") is None:
        right = "install chaincase[company]"
        raise BadInput("signing in elsewhere needs libraries that are not installed", where=names[0], right=right)
    issuer, client, secret = given
    label = environment.get("CHAINCASE_OIDC_LABEL", "") or "Sign in with the company account"
    return Oidc(issuer.rstrip("/"), client, secret, label)
