"""Who changed cases last, on both engines."""

from chaincase.register import Register
from chaincase.register.ids import uuid7
from chaincase.register.lately import changed_by


def test_the_last_change_counts_whoever_began_the_case(register: Register):
    register.cases.create("HV-1", by="desk")
    register.cases.create("HV-2", by="desk")
    register.cases.append("HV-1", [{"id": uuid7(), "kind": "set", "path": "title", "value": "Lift"}], by="millwright")
    assert changed_by(register, ["HV-1", "HV-2", "none"]) == {"HV-1": "millwright", "HV-2": "desk"}
    assert changed_by(register, []) == {}
