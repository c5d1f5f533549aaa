"""Plants, wear and people: nothing overwritten, two writers never lose a word, the same on both engines."""

import pytest

from chaincase.errors import BadInput
from chaincase.register import Register
from chaincase.register.faults import Missing, Overtaken
from chaincase.register.ids import uuid7


def position_in(register: Register, customer: str = "Paper mill") -> str:
    owner = register.customers.add(by="lead", name=customer)
    site = register.sites.add(by="lead", customer=owner.id, name="North")
    machine = register.machines.add(by="lead", site=site.id, name="Debarker infeed")
    return register.positions.add(by="lead", machine=machine.id, name="left strand").id


def test_a_change_keeps_what_was_before(register: Register):
    customer = register.customers.add(by="lead", name="Paper mill", note="two lines")
    changed = register.customers.change(customer.id, 1, by="desk", name="Paper mill North")
    assert (changed.name, changed.note, changed.version) == ("Paper mill North", "two lines", 2)
    assert register.customers.get(customer.id) == changed
    removed = register.customers.remove(customer.id, 2, by="admin")
    assert removed.removed
    assert register.customers.find() == ()
    assert register.customers.find(removed=True) == (removed,)
    last, middle, first = register.customers.history(customer.id)
    assert (middle.by, middle.before, middle.value) == ("desk", {"name": "Paper mill"}, {"name": "Paper mill North"})
    assert (first.kind, first.was_absent) == ("create", True)
    assert last.value == {"removed": True}


def test_the_second_writer_is_told_what_stands(register: Register):
    customer = register.customers.add(by="lead", name="Paper mill")
    register.customers.change(customer.id, 1, by="desk", note="call first")
    with pytest.raises(Overtaken) as caught:
        register.customers.change(customer.id, 1, by="phone", note="do not call")
    assert caught.value.yours == {"note": "do not call"}
    assert (caught.value.theirs["note"], caught.value.version) == ("call first", 2)
    assert register.customers.change(customer.id, 2, by="phone", note="call first, after 8").version == 3


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": ""}, "at least 1"),
        ({"name": "x" * 201}, "at most 200"),
        ({"name": "a\x00b"}, "cannot be printed"),
        ({"name": 7}, "valid string"),
        ({"name": "A", "color": "red"}, "Extra|extra"),
        ({}, "required"),
    ],
)
def test_a_row_that_cannot_be_is_refused(register: Register, fields: dict, words: str):
    with pytest.raises(BadInput, match=words):
        register.customers.add(by="lead", **fields)
    assert register.customers.find() == ()
    assert register.verify().sound == 0


def test_what_refers_to_nothing_is_refused_and_leaves_nothing(register: Register):
    with pytest.raises(BadInput, match="not in the register"):
        register.sites.add(by="lead", customer="nobody", name="North")
    register.people.add(by="admin", email="fitter@plant.example")
    with pytest.raises(BadInput, match="another person"):
        register.people.add(by="admin", email="Fitter@plant.example")
    assert register.verify(deep=True).sound == 1
    with pytest.raises(Missing):
        register.sites.change("none", 1, by="lead", name="X")


def test_the_same_id_again_gives_what_is_there(register: Register):
    name = uuid7()
    first = register.customers.add(by="lead", id=name, name="Paper mill")
    assert register.customers.add(by="lead", id=name, name="Paper mill") == first
    with pytest.raises(BadInput, match="another customer with this id"):
        register.customers.add(by="lead", id=name, name="Saw mill")
    assert register.verify().sound == 1


def test_the_tree_shows_what_runs_where(register: Register):
    position = position_in(register)
    register.installed.install(position, on="2020-05-01", by="lead", designation="WR124")
    register.installed.install(position, on="2024-02-01", by="lead", designation="WR132", pitch="6.05 in", teeth=12)
    (branch,) = register.plants.tree()
    (machine,) = branch.sites[0].machines
    runs = machine.positions[0].runs
    assert runs is not None
    assert (runs.designation, runs.since, runs.until) == ("WR132", "2024-02-01", "")
    assert [(each.designation, each.until) for each in machine.positions[0].ran] == [("WR124", "2024-02-01")]
    position_in(register, "Saw mill")
    assert [each.customer.name for each in register.plants.tree()] == ["Paper mill", "Saw mill"]
    assert register.plants.tree(branch.customer.id) == (branch,)
    with pytest.raises(BadInput, match="lies before"):
        register.installed.install(position, on="2019-01-01", by="lead", designation="WR78")
    assert register.machines.by_tag(machine.machine.tag) == machine.machine
    with pytest.raises(Missing):
        register.machines.by_tag("M-NONE")


def test_wear_readings_come_as_the_form_that_duty_reads(register: Register):
    chain = register.installed.install(position_in(register), on="2024-02-01", by="lead", pitch="4 in", kind="roller")
    register.wear.add(by="fitter", installed=chain.id, on="2025-03-01", length="60 3/4 in", over=15, instrument="tape")
    register.wear.add(by="fitter", installed=chain.id, on="2024-08-01", length="60 1/4 in", over=15, strand="left")
    assert register.wear.form(chain.id) == {
        "schema": "chaincase/wear-1",
        "pitch": "4 in",
        "kind": "roller",
        "readings": [
            {"on": "2024-08-01", "length": "60 1/4 in", "over": 15, "strand": "left"},
            {"on": "2025-03-01", "length": "60 3/4 in", "over": 15, "instrument": "tape"},
        ],
    }
    with pytest.raises(BadInput, match="write the day"):
        register.wear.add(by="fitter", installed=chain.id, on="March", length="1 in", over=1)
    with pytest.raises(Missing):
        register.wear.form("none")


def test_a_password_is_in_no_entry_of_the_journal(register: Register):
    person = register.people.add(by="admin", email="Lead@Plant.example", role="engineer")
    assert person.email == "lead@plant.example"
    register.people.set_password_hash(person.id, "$argon2id$secret", by="admin")
    assert register.people.password_hash(person.id) == "$argon2id$secret"
    assert register.people.by_email("LEAD@plant.example") == register.people.get(person.id)
    changed = register.people.change(person.id, 2, by="admin", disabled=True)
    assert changed.disabled
    assert register.people.password_hash(person.id) == "$argon2id$secret"
    assert "argon2" not in str(register.people.history(person.id))
    assert [each.kind for each in register.people.history(person.id)] == ["change", "password", "create"]
    with pytest.raises(BadInput, match="a role is one of"):
        register.people.add(by="admin", email="x@plant.example", role="owner")


def test_everything_is_found(register: Register):
    position = position_in(register)
    register.installed.install(position, on="2024-02-01", by="lead", designation="WR-124", note="hard-faced")
    register.cases.create("HV-102", by="lead", content={"title": "Debarker chain", "notes": "WR124 perhaps"})
    assert {(hit.kind, hit.title) for hit in register.search("wr124")} == {
        ("installed", "WR-124"),
        ("case", "HV-102 Debarker chain"),
    }
    assert [hit.kind for hit in register.search("debark")] == ["case", "machine"]
    assert [hit.kind for hit in register.search("debark", kinds=["machine"])] == ["machine"]
    (machine,) = register.machines.find()
    register.machines.change(machine.id, 1, by="lead", name="Outfeed")
    assert [hit.kind for hit in register.search("debarker")] == ["case"]
    register.machines.remove(machine.id, 2, by="lead")
    assert register.search("outfeed") == ()
    assert register.search(" - ") == ()
