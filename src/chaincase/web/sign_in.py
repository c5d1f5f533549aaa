"""Pages to sign in and out, to take an invitation, and for one's own account."""

from typing import Annotated
from urllib.parse import quote, urlsplit

from anyio.to_thread import run_sync
from fastapi import Form, Request
from pydantic import BaseModel, Field
from starlette.responses import RedirectResponse, Response

from chaincase.errors import BadInput
from chaincase.register import accounts, passes
from chaincase.web import people
from chaincase.web.access import Right
from chaincase.web.entrance import HERE, cookie_name, drop_cookie, name_from, seconds, set_cookie
from chaincase.web.faults import Refused
from chaincase.web.looks import page
from chaincase.web.people import Entry
from chaincase.web.routing import Here, Who, api, pages
from chaincase.web.server import Server

anyone = pages(Right.ANYONE)
own = pages(Right.SIGNED_IN)
api_own = api(Right.READ, "people")

Text = Annotated[str, Form(max_length=4096)]
NAMED_FOR = 366 * 86400
"""Seconds that a browser of this computer remembers who sits at it."""


class Me(BaseModel):
    """Who sends the request."""

    name: str = Field(description="What is written beside changes.", examples=["millwright, day shift"])
    role: str = Field(description="reader, field, engineer or admin.", examples=["field"])


@anyone.get("/sign-in")
def sign_in_page(request: Request, here: Here, who: Who, to: str = "/") -> Response:
    """Show the form to sign in."""
    if here.settings.local or who.role is not None:
        return RedirectResponse(_inside(to), 303)
    return _form(request, here, to=to)


@anyone.post("/sign-in")
async def sign_in(request: Request, here: Here, email: Text, password: Text, to: Text = "/") -> Response:
    """Sign in by password."""
    _only_served(here)
    device = request.cookies.get(cookie_name(here.settings, "device"), "")
    try:
        entry = await people.sign_in(here, email=email, password=password, address=_address(request), device=device)
    except Refused as fault:
        return _form(request, here, to=to, email=email, fault=fault)
    return _entered(here, entry, _inside(to))


@anyone.get("/sign-in/elsewhere")
def sign_in_elsewhere(here: Here) -> Response:
    """Go to the company's sign-in."""
    _only_with_oidc(here)
    from chaincase.web import elsewhere  # needs libraries that only a company installs

    address, kept = elsewhere.begin(here)
    response = RedirectResponse(address, 303)
    set_cookie(response, here.settings, cookie_name(here.settings, "trip"), kept, elsewhere.LASTS)
    return response


@anyone.get("/sign-in/back")
def sign_in_back(request: Request, here: Here, code: str = "", state: str = "") -> Response:
    """Come back from the company's sign-in."""
    _only_with_oidc(here)
    from chaincase.web import elsewhere  # as above

    kept = request.cookies.get(cookie_name(here.settings, "trip"), "")
    response = _entered(here, elsewhere.finish(here, code=code, state=state, kept=kept), "/")
    drop_cookie(response, here.settings, cookie_name(here.settings, "trip"))
    return response


@anyone.get("/invitation/{text}")
def invitation_page(request: Request, here: Here, text: str) -> Response:
    """Show the form to make an account."""
    _only_served(here)
    return page(request, "invitation.html", {"invitation": people.invitation(here, text), "fault": None})


@anyone.post("/invitation/{text}")
async def take_invitation(
    request: Request, here: Here, text: str, name: Text, password: Text, email: Text = ""
) -> Response:
    """Make an account."""
    _only_served(here)
    try:
        entry = await people.accept(here, text, email=email, name=name, password=password)
    except BadInput as fault:
        found = await run_sync(people.invitation, here, text)
        context = {"invitation": found, "fault": fault, "name": name, "email": email}
        return page(request, "invitation.html", context, status=422)
    return _entered(here, entry, "/")


@own.post("/sign-out")
def sign_out(here: Here, who: Who) -> Response:
    """End this session; what a browser still shows is taken from it."""
    people.sign_out(here, who.session)
    response = RedirectResponse("/sign-in", 303, headers={"clear-site-data": '"cache"'})
    drop_cookie(response, here.settings, cookie_name(here.settings))
    return response


@own.get("/account")
def account_page(request: Request, here: Here, who: Who) -> Response:
    """Show one's own account."""
    return _account(request, here, who.account)


@own.post("/account/password")
async def change_password(request: Request, here: Here, who: Who, old: Text, new: Text) -> Response:
    """Change the own password."""
    _only_served(here)
    try:
        entry = await people.change_password(here, who.account, old=old, new=new, address=_address(request))
    except (BadInput, Refused) as refused:
        return await run_sync(_account, request, here, who.account, "", refused)
    return _entered(here, entry, "/account")


@own.post("/account/tokens")
def make_token(request: Request, here: Here, who: Who, label: Text) -> Response:
    """Make a token for a program, and show it this once."""
    _only_served(here)
    with here.register.store.write() as db:
        _, text = passes.add_token(db, who.account, label, now=seconds())
    return _account(request, here, who.account, token=text)


@own.post("/account/tokens/{token}/revoke")
def revoke_token(here: Here, who: Who, token: str) -> Response:
    """Revoke a token."""
    _only_served(here)
    with here.register.store.write() as db:
        if not passes.revoke_token(db, who.account, token, seconds()):
            raise Refused(404)
    return RedirectResponse("/account", 303)


@own.get("/name")
def name_page(request: Request, here: Here) -> Response:
    """Ask who sits at this computer."""
    _only_local(here)
    return page(
        request,
        "name.html",
        {"fault": None, "here_name": HERE, "to": _inside(urlsplit(request.headers.get("referer", "")).path)},
    )


@own.post("/name")
def say_name(here: Here, name: Text = "", to: Text = "/") -> Response:
    """Keep, in this browser, the name that is written beside changes."""
    _only_local(here)
    response = RedirectResponse(_inside(to), 303)
    set_cookie(response, here.settings, cookie_name(here.settings, "name"), quote(name_from(name)), NAMED_FOR)
    return response


@api_own.get("/account", summary="Who you are here")
def me(who: Who) -> Me:
    """Give the name and the role that your token or session stands for."""
    return Me(name=who.name, role=who.role or "")


def _entered(here: Server, entry: Entry, to: str) -> Response:
    response = RedirectResponse(to, 303)
    set_cookie(response, here.settings, cookie_name(here.settings), entry.session, accounts.LONGEST)
    set_cookie(response, here.settings, cookie_name(here.settings, "device"), entry.device, people.DEVICE_LASTS)
    return response


def _form(request: Request, here: Server, *, to: str, email: str = "", fault: Refused | None = None) -> Response:
    oidc = here.settings.oidc
    context = {"to": _inside(to), "email": email, "fault": fault, "elsewhere": oidc.label if oidc else ""}
    headers = fault.headers if fault else {}
    return page(request, "sign_in.html", context, status=fault.status if fault else 200, headers=headers)


def _account(
    request: Request, here: Server, account: str, token: str = "", fault: BadInput | Refused | None = None
) -> Response:
    _only_served(here)
    with here.register.store.read() as db:
        tokens = passes.tokens_of(db, account)
    status = 200 if fault is None else fault.status if isinstance(fault, Refused) else 422
    context = {"tokens": tokens, "token": token, "fault": fault, "email": here.register.people.get(account).email}
    return page(request, "account.html", context, status=status)


def _only_served(here: Server) -> None:
    if here.settings.local:
        raise Refused(404, "There are no accounts here.", "Start with `chaincase serve --accounts` to have them.")


def _only_local(here: Server) -> None:
    if not here.settings.local:
        raise Refused(404, "Your account has your name.", "Ask an administrator to change it.")


def _only_with_oidc(here: Server) -> None:
    if here.settings.oidc is None:
        raise Refused(404)


def _address(request: Request) -> str:
    return request.client.host if request.client else ""


def _inside(to: str) -> str:
    """Give an address on this server, whatever was asked for.

    >>> _inside("//evil.example/x"), _inside("https://evil.example"), _inside("/register?text=a")
    ('/evil.example/x', '/', '/register?text=a')
    """
    plain = to if to.startswith("/") else "/"
    return "/" + plain.lstrip("/\\").replace("\n", "").replace("\r", "").replace("\t", "")
