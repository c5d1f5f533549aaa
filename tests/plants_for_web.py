"""A plant and a few cases for the tests of pages."""

from dataclasses import dataclass

from chaincase.register import Register

READINGS = (
    ("2023-09-01", "60.05 in"),
    ("2024-03-01", "60.22 in"),
    ("2024-09-02", "60 3/8 in"),
    ("2025-03-01", "60 5/8 in"),
)


@dataclass(frozen=True, slots=True)
class Ids:
    """Ids of what stands there."""

    customer: str
    site: str
    machine: str
    left: str
    right: str
    chain: str


def plant(register: Register) -> Ids:
    """Write down a customer, a site, a machine with two positions, and a chain with wear readings in one."""
    customer = register.customers.add(by="desk", name="River Terminal", number="10442")
    site = register.sites.add(by="desk", customer=customer.id, name="North quay")
    machine = register.machines.add(by="desk", site=site.id, name="Drag conveyor 2", tag="M-DC02")
    left = register.positions.add(by="desk", machine=machine.id, name="left strand")
    right = register.positions.add(by="desk", machine=machine.id, name="right strand")
    fields = {"designation": "W124", "kind": "welded steel", "pitch": "4 in", "pitches": 240}
    chain = register.installed.install(left.id, on="2023-06-14", by="desk", **fields)
    for on, length in READINGS:
        register.wear.add(by="millwright", installed=chain.id, on=on, length=length, over=15, instrument="tape")
    return Ids(customer.id, site.id, machine.id, left.id, right.id, chain.id)


def cases(register: Register, ids: Ids) -> None:
    """Begin four cases: with evidence, asked, settled, empty."""
    evidence = {
        "marks": [{"text": "W?124"}],
        "readings": [{"dimension": "pitch", "value": "4.06 in", "instrument": "tape"}],
    }
    content = {"title": "Drag conveyor, left strand", "customer": "River Terminal", "machine": "Drag conveyor 2"}
    filing = {"customer": ids.customer, "site": ids.site, "machine": ids.machine}
    register.cases.create("HV-102", by="desk", content=content | {"evidence": evidence}, filing=filing)
    register.cases.create("HV-103", by="desk", content={"title": "Log haul"}, filing={"state": "asked"})
    chosen = {"designation": "iso606_b/16B-1", "by": "desk", "why": "stamp read"}
    register.cases.create("HV-104", by="lead", content={"title": "Dryer drive", "chosen": chosen})
    register.cases.create("HV-105", by="lead")
