"""How long a register of many cases takes to list, search, open and change, on SQLite and on PostgreSQL.

    .venv/bin/python benchmarks/register.py [--cases 200000] [--engine sqlite|postgresql|both] [--repeats 20]

Builds its register under a temporary folder and takes it away again. PostgreSQL comes from the package that the tests
use, with commits synced. It stops by itself: one build and some hundred questions.
"""

import argparse
import json
import random
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import sqlalchemy as sa

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from chaincase.register import Register, journal, keeping, open_register, schema, searching
from chaincase.register.folding import Noted, fold
from chaincase.register.ids import uuid7
from chaincase.register.listing import Filter
from chaincase.register.paths import with_ids
from chaincase.register.summaries import Summary
from registers import Server

LOT = 2_000
KINDS = (
    "slat conveyor",
    "bucket elevator",
    "drag conveyor",
    "log haul",
    "bar screen",
    "apron feeder",
    "pusher",
    "lift",
)
PLACES = ("wet end", "infeed", "outfeed", "bin 3", "line 2", "north hall", "kiln", "crusher", "dryer", "boiler house")
NAMES = ("WR", "WH", "C", "SS", "H", "D", "MC", "RS")
GAPS = (
    "identity",
    "length",
    "strands",
    "quantity",
    "spacing",
    "attachments",
    "sprockets",
    "tolerance",
    "features.material",
)
STATES = ("open", "open", "open", "asked", "ordered", "closed", "closed", "closed", "closed", "closed")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--cases", type=int, default=200_000)
    asked.add_argument("--engine", choices=("sqlite", "postgresql", "both"), default="both")
    asked.add_argument("--repeats", type=int, default=20)
    said = asked.parse_args()
    for engine in ("sqlite", "postgresql") if said.engine == "both" else (said.engine,):
        measure(engine, said.cases, said.repeats)


def measure(engine: str, count: int, repeats: int) -> None:
    folder = Path(tempfile.mkdtemp(prefix="chaincase-bench-"))
    server = (
        Server({"fsync": "on", "synchronous_commit": "on", "full_page_writes": "on"}) if engine != "sqlite" else None
    )
    try:
        place = server.database() if server else str(folder / "register")
        with open_register(place, files=folder / "files") as register:
            build(register, count, engine)
            report(register, engine, count, repeats)
    finally:
        if server:
            server.stop()
        shutil.rmtree(folder, ignore_errors=True)


def build(register: Register, count: int, engine: str) -> None:
    start, chance = time.perf_counter(), random.Random(7)  # noqa: S311
    customers = [uuid7() for _ in range(400)]
    for first in range(0, count, LOT):
        with register.store.write() as connection:
            add_lot(connection, register, range(first, min(first + LOT, count)), customers, chance)
    if engine == "sqlite":
        with register.store.engine.connect() as connection:
            connection.exec_driver_sql("ANALYZE")
            connection.commit()
    else:
        with register.store.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("VACUUM ANALYZE")
    print(f"{engine}: {count} cases, {3 * count} entries built in {time.perf_counter() - start:.0f} s")


def add_lot(
    connection: sa.Connection, register: Register, numbers: range, customers: list[str], chance: random.Random
) -> None:
    at = journal.now(connection, register.store.clock)
    number = journal.head_of(connection).number
    entries: list[journal.Entry] = []
    rows: dict[str, list[dict[str, Any]]] = {"cases": [], "gaps": [], "pages": []}
    for n in numbers:
        case = f"HV-{n:06d}"
        noted = list(events(case, n, customers, chance, at))
        entries += [entry(case, each) for each in noted]
        number += len(noted)
        add_rows(rows, case, fold(noted), summary(n, chance), number, at)
    journal.write(connection, at, entries)
    connection.execute(sa.insert(schema.cases), rows["cases"])
    connection.execute(sa.insert(schema.case_gap), rows["gaps"])
    connection.execute(sa.insert(schema.searchable), rows["pages"])
    if connection.dialect.name == "sqlite":
        words = sa.text("INSERT INTO searchable_words (rowid, words) VALUES (:number, :words)")
        connection.execute(words, rows["pages"])


def events(case: str, n: int, customers: list[str], chance: random.Random, at: str) -> Iterator[Noted]:
    name = f"{chance.choice(NAMES)}{chance.randrange(60, 900)}"
    readings = [
        {
            "dimension": dimension,
            "value": f"{chance.uniform(5, 150):.2f} mm",
            "instrument": "digital caliper",
            "by": "fitter",
        }
        for dimension in (
            "pitch",
            "pin_diameter",
            "inner_width",
            "roller_diameter",
            "sidebar_height",
            "sidebar_thickness",
        )
    ]
    content = {
        "schema": "chaincase/case-1",
        "case": case,
        "title": f"{chance.choice(KINDS)} {chance.choice(PLACES)}",
        "customer": f"Customer {n % 400}",
        "plant": f"Plant {n % 37}",
        "machine": f"Machine {n % 9000}",
        "evidence": {"construction": ["roller"], "marks": [{"text": f"{name[:-1]}?"}], "readings": readings},
        "records": [{"text": f"{chance.randrange(20, 400)} ft {name} with K2 every {chance.randrange(2, 12)}th pitch"}],
        "notes": "guide rail worn on the return side; sprocket teeth hooked",
        "filing": {"state": chance.choice(STATES), "customer": customers[n % 400]},
    }
    first = uuid7()
    yield Noted(1, first, "create", "", with_ids(content, first), None, "", "lead", at)
    yield Noted(2, uuid7(), "set", "revision", "B", 1, "", "lead", at)
    yield Noted(3, uuid7(), "set", "strands", {"number": 2, "ends": "endless"}, 2, "", "fitter", at)


def entry(case: str, each: Noted) -> journal.Entry:
    value = json.dumps(each.value)
    return journal.Entry(each.id, "case", case, each.seq, each.by, each.kind, each.path, value, None, each.base)


def summary(n: int, chance: random.Random) -> Summary:
    gaps = tuple(chance.sample(GAPS, chance.randrange(7)))
    rare = ("features.seal",) if n % 5_000 == 0 else ()
    return Summary(gaps + rare, len(gaps) // 2, len(gaps) - len(gaps) // 2, f"WR{n % 700}", 0.9)


def add_rows(
    rows: dict[str, list[dict[str, Any]]], case: str, folding: Any, found: Summary, number: int, at: str
) -> None:
    row = keeping.said_of(folding) | {"key": case, "moved": number, "created": at, "updated": at}
    row |= keeping.columns_of(found, folding.version)
    rows["cases"].append(row)
    rows["gaps"] += [{"gap": gap, "moved": number, "case": case} for gap in found.gaps]
    page = keeping.page_of(case, folding.content, row)
    rows["pages"].append({name: getattr(page, name) for name in searching.Page.__slots__})


def report(register: Register, engine: str, count: int, repeats: int) -> None:
    chance = random.Random(11)  # noqa: S311
    customer = register.cases.open("HV-000007").filing["customer"]
    middle = register.cases.list(limit=1).lines[0]
    deep = str(3 * count // 2)
    lists = {
        "list, all": Filter(),
        "list, state": Filter(state="asked"),
        "list, customer": Filter(customer=customer),
        "list, gap": Filter(gap="features.material"),
        "list, rare gap": Filter(gap="features.seal"),
        "list, rare gap and rare state": Filter(gap="features.seal", state="ordered"),
        "list, customer and state": Filter(customer=customer, state="ordered"),
        "list, state and ready": Filter(state="ordered", ready="make"),
        "list, designation": Filter(designation="WR124"),
        "search, rare words": Filter(text="WR-124 kiln"),
        "search, in every case": Filter(text="guide rail"),
        "search, one letter": Filter(text="w"),
        "search, a case": Filter(text="HV-123456"),
        "search, nothing": Filter(text="zzzz"),
        "search, two common words": Filter(text="slat hooked"),
        "search and state": Filter(text="guide", state="ordered"),
        "search and gap": Filter(text="kiln", gap="features.seal"),
        "search and customer": Filter(text="rail", customer=customer),
    }
    for name, only in lists.items():
        clock(engine, name, lambda only=only: register.cases.list(only), repeats)
    clock(engine, "list, from the middle", lambda: register.cases.list(after=deep), repeats)
    clock(engine, "search from the middle", lambda: register.cases.list(Filter(text="rail"), after=deep), repeats)
    clock(engine, "search over everything", lambda: register.search("bucket kiln"), repeats)
    clock(engine, "open", lambda: register.cases.open(f"HV-{chance.randrange(count):06d}"), repeats)
    clock(engine, "history", lambda: register.cases.history(f"HV-{chance.randrange(count):06d}"), repeats)
    clock(engine, "change", lambda: change_one(register, f"HV-{chance.randrange(count):06d}"), repeats)
    clock(engine, "list after changes", register.cases.list, repeats)
    assert middle.case


def change_one(register: Register, case: str) -> None:
    event = {
        "id": uuid7(),
        "kind": "add",
        "path": "evidence.readings",
        "value": {"dimension": "pitch", "value": "4 in"},
    }
    register.cases.append(case, [event], by="lead")


def clock(engine: str, name: str, ask: Callable[[], Any], repeats: int) -> None:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        ask()
        times.append(1000 * (time.perf_counter() - start))
    print(
        f"{engine:11} {name:32} median {statistics.median(times):7.1f} ms first {times[0]:7.1f} worst {max(times):7.1f}"
    )


if __name__ == "__main__":
    main()
