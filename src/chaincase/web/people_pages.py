"""Pages and API for whoever administers: people, roles, invitations."""

from typing import Annotated

from fastapi import Form, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import RedirectResponse, Response

from chaincase.errors import BadInput
from chaincase.register.accounts import Role
from chaincase.web import people
from chaincase.web.access import Right
from chaincase.web.faults import Refused
from chaincase.web.looks import page
from chaincase.web.routing import Here, Who, api, pages
from chaincase.web.server import Server

admin = pages(Right.ADMINISTER, prefix="/people")
api_admin = api(Right.ADMINISTER, "people", prefix="/people")

Text = Annotated[str, Form(max_length=4096)]


class PersonLine(BaseModel):
    """Somebody with an account."""

    id: str
    version: int = Field(description="To be given with a change.")
    name: str = Field(examples=["millwright, day shift"])
    email: str
    role: Role
    disabled: bool


class Wanted(BaseModel):
    """What somebody is to be."""

    model_config = ConfigDict(extra="forbid")

    version: int = Field(ge=0, le=2**53, description="The one that you saw.")
    role: Role
    disabled: bool = False


class Invited(BaseModel):
    """Whom to invite."""

    model_config = ConfigDict(extra="forbid")

    email: str = Field(max_length=254, examples=["lead@example.com"])
    role: Role


class Address(BaseModel):
    """Where somebody makes an account."""

    address: str


@admin.get("")
def people_page(request: Request, here: Here) -> Response:
    """Show all people."""
    return _people(request, here)


@admin.post("/invitations")
def invite(request: Request, here: Here, who: Who, email: Text, role: Annotated[Role, Form()]) -> Response:
    """Invite somebody, and show the address to send."""
    _only_served(here)
    try:
        address = people.invitation_address(here, email=email, role=role, by=who.name)
    except BadInput as fault:
        return _people(request, here, fault=fault)
    return _people(request, here, invited=address)


@admin.post("/{person}")
def change(
    request: Request, here: Here, who: Who, person: str, version: Annotated[int, Form()], role: Text = ""
) -> Response:
    """Change what somebody is; without a role the account is closed."""
    try:
        row = here.register.people.get(person)
        wanted = Role(role or row.role)
        people.set_role(here, person, version, role=wanted, disabled=not role, by=who.name)
    except ValueError:
        raise BadInput(f"{role[:40]!r} is no role", where="role", right="choose one from the list") from None
    except BadInput as fault:
        return _people(request, here, fault=fault)
    return RedirectResponse("/people", 303)


@api_admin.get("", summary="All people")
def list_people(here: Here) -> list[PersonLine]:
    """Give everybody with an account."""
    return [PersonLine.model_validate(each, from_attributes=True) for each in here.register.people.find()]


@api_admin.post("/invitations", summary="Invite somebody", status_code=201)
def invite_by_api(here: Here, who: Who, invited: Invited) -> Address:
    """Give the address that lets somebody make an account, once, for seven days."""
    return Address(address=people.invitation_address(here, email=invited.email, role=invited.role, by=who.name))


@api_admin.put("/{person}", summary="Change what somebody is")
def change_by_api(here: Here, who: Who, person: str, wanted: Wanted) -> PersonLine:
    """Change the role or close the account; whoever it is, is signed out everywhere."""
    people.set_role(here, person, wanted.version, role=wanted.role, disabled=wanted.disabled, by=who.name)
    return PersonLine.model_validate(here.register.people.get(person), from_attributes=True)


def _people(request: Request, here: Server, *, invited: str = "", fault: BadInput | None = None) -> Response:
    _only_served(here)
    context = {"people": here.register.people.find(), "roles": [role.value for role in Role]}
    return page(request, "people.html", {**context, "invited": invited, "fault": fault}, status=422 if fault else 200)


def _only_served(here: Server) -> None:
    if here.settings.local:
        raise Refused(404, "There are no accounts here.", "Start with `chaincase serve --accounts` to have them.")
