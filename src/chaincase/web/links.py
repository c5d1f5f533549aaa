"""Customers' links: made and revoked by whoever works on the case, opened by anybody who holds one."""

from typing import Annotated, Any

from fastapi import Path
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import RedirectResponse, Response

from chaincase.register import passes
from chaincase.web.access import Right
from chaincase.web.entrance import cookie_name, seconds, set_cookie
from chaincase.web.faults import Refused
from chaincase.web.routing import Here, Who, api, pages
from chaincase.web.server import Server
from chaincase.web.signing import LINK, opened, signed

anyone = pages(Right.ANYONE)
api_work = api(Right.WORK, "links", prefix="/cases/{case}/links")
api_answer = api(Right.ANSWER, "links", prefix="/answer")

Case = Annotated[str, Path(max_length=64, examples=["HV-102"])]
DAY = 86400


class LinkWanted(BaseModel):
    """What a customer is to be asked."""

    model_config = ConfigDict(extra="forbid")

    asked: list[Annotated[str, Field(max_length=80)]] = Field(
        min_length=1, max_length=60, description="Keys of gaps, or dimensions.", examples=[["quantity", "pitch"]]
    )
    note: str = Field(default="", max_length=2000, description="A line to the customer.")
    days: int = Field(default=30, ge=1, le=90)


class LinkLine(BaseModel):
    """A customer's link."""

    id: str
    asked: list[str]
    note: str
    by: str
    ends: int = Field(description="Seconds since 1970 UTC.")
    revoked: bool


class NewLink(LinkLine):
    """A customer's link, with its address."""

    address: str = Field(description="To be sent to the customer; shown once.")


class Asked(BaseModel):
    """What the holder of a link is asked; nothing else of the case is shown."""

    asked: list[str]
    note: str
    by: str
    ends: int = Field(description="Seconds since 1970 UTC.")


@anyone.get("/link/{text}")
def open_link(here: Here, text: str) -> Response:
    """Exchange a link for a cookie, and go to the page that asks."""
    named = opened(here.settings.secret, LINK, text, passes.LONGEST_LINK)
    found = link_named(here, named) if isinstance(named, str) else None
    if found is None:
        raise Refused(404, "This link is not valid any more.", "Ask the person who sent it for a new one.")
    response = RedirectResponse("/answer", 303)
    set_cookie(response, here.settings, cookie_name(here.settings, "link"), text, max(found.ends - seconds(), 1))
    return response


@api_work.post("", summary="Make a link for a customer", status_code=201)
def make_link(here: Here, who: Who, case: Case, wanted: LinkWanted) -> NewLink:
    """Give an address at which somebody without an account can answer what is asked, and see nothing else."""
    here.register.cases.open(case)
    with here.register.store.write() as db:
        lasts = wanted.days * DAY
        made = passes.add_link(
            db, case=case, asked=wanted.asked, note=wanted.note, by=who.name, now=seconds(), lasts=lasts
        )
    return NewLink(address=link_address(here, made), **_line(made))


@api_work.get("", summary="Links of a case")
def list_links(here: Here, case: Case) -> list[LinkLine]:
    """Give the links of a case, the newest first, without their addresses."""
    here.register.cases.open(case)
    with here.register.store.read() as db:
        return [LinkLine(**_line(each)) for each in passes.links_of(db, case)]


@api_work.delete("/{link}", summary="Revoke a link", status_code=204)
def revoke_link(here: Here, case: Case, link: str) -> None:
    """Revoke a link; whoever holds it can send nothing more."""
    with here.register.store.write() as db:
        if not passes.revoke_link(db, case, link, seconds()):
            raise Refused(404)


@api_answer.get("", summary="What the link asks")
def asked(here: Here, who: Who) -> Asked:
    """Give what is asked, and nothing of what the case holds."""
    found = link_named(here, who.link)
    if found is None:
        raise Refused(401, "This link is not valid any more.", "Ask the person who sent it for a new one.")
    return Asked(asked=list(found.asked), note=found.note, by=found.by, ends=found.ends)


def link_named(server: Server, named: str) -> passes.Link | None:
    """Give a link that is still good."""
    with server.register.store.read() as db:
        return passes.link(db, named, seconds())


def link_address(server: Server, link: passes.Link) -> str:
    """Give the address of a link."""
    return f"{server.settings.address}/link/{signed(server.settings.secret, LINK, link.id)}"


def _line(link: passes.Link) -> dict[str, Any]:
    return {
        "id": link.id,
        "asked": list(link.asked),
        "note": link.note,
        "by": link.by,
        "ends": link.ends,
        "revoked": link.revoked,
    }
