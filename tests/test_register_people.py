"""People of a register: somebody always administers, and an account is made whole or not at all."""

import threading

import pytest
import sqlalchemy as sa

from chaincase.errors import BadInput
from chaincase.register import Register
from registers import Place


def administrators(register: Register) -> list[str]:
    return [each.name for each in register.people.find(role="admin") if not each.disabled]


def test_two_administrators_cannot_take_it_from_each_other_in_the_same_instant(place: Place) -> None:
    with place.open() as register:
        for turn in range(6):
            pair = [register.people.add(by="t", email=f"{turn}{n}@example.com", name=n, role="admin") for n in "ab"]
            for each in register.people.find(role="admin"):
                if each.id not in {one.id for one in pair}:
                    register.people.change(each.id, each.version, by="t", role="reader")
            refused: list[BadInput] = []
            together = threading.Barrier(2)

            def demote(number: int, pair: list = pair, refused: list = refused, together=together) -> None:  # type: ignore[no-untyped-def,type-arg]
                other = pair[1 - number]
                together.wait()
                try:
                    register.people.change(other.id, other.version, by=pair[number].name, role="reader")
                except BadInput as fault:
                    refused.append(fault)

            threads = [threading.Thread(target=demote, args=(number,)) for number in range(2)]
            for thread in threads:
                thread.start()
            for thread in threads:
                thread.join()
            assert len(administrators(register)) == 1
            assert [str(each.what) for each in refused] == ["nobody would be left to administer"]


def test_the_last_administrator_stays_one(register: Register) -> None:
    lead = register.people.add(by="t", email="lead@example.com", name="lead", role="admin")
    with pytest.raises(BadInput, match="nobody would be left"):
        register.people.change(lead.id, lead.version, by="t", disabled=True)
    with pytest.raises(BadInput, match="nobody would be left"):
        register.people.remove(lead.id, lead.version, by="t")
    renamed = register.people.change(lead.id, lead.version, by="t", name="shift lead")
    register.people.add(by="t", email="other@example.com", name="other", role="admin")
    assert register.people.change(lead.id, renamed.version, by="t", disabled=True).disabled


def test_an_account_is_made_with_its_password_or_not_at_all(register: Register) -> None:
    def refuse(_: sa.Connection) -> None:
        raise BadInput("no such invitation")

    given = {"email": "lead@example.com", "name": "lead", "role": "admin"}
    with pytest.raises(BadInput, match="no such invitation"):
        register.people.enroll("hash", by="lead", admit=refuse, **given)
    assert register.people.find() == ()
    made = register.people.enroll("hash", by="lead", admit=lambda _: None, **given)
    assert register.people.password_hash(made.id) == "hash"
    assert register.people.get(made.id).version == made.version == 2
    assert [each.kind for each in register.people.history(made.id)] == ["password", "create"]
    with pytest.raises(BadInput, match="another person"):
        register.people.enroll("other", by="lead", admit=lambda _: None, **given)
    assert register.verify(deep=True).fault is None
