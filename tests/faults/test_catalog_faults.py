"""Tables that are wrong: every rule of the check speaks up, sound rows pass; loaders refuse what is unusable."""

import dataclasses
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from chaincase.catalog import attachments
from chaincase.catalog import check as checking
from chaincase.catalog.attachments import AttachmentRow, load_attachments
from chaincase.catalog.check import check
from chaincase.catalog.findings import Finding, Severity
from chaincase.catalog.geometry import LESS, SUMS, Less
from chaincase.catalog.packaged import Line, load_table
from chaincase.catalog.provenance import Doubt, origin_of
from chaincase.catalog.table import Limit, Row, Source, Trust, build
from chaincase.chains.kinds import KINDS
from chaincase.errors import BadInput

SOURCE = Source("made up", "Chains made up for a test", "none", "made up for a test")

# A roller chain and others whose parts go into each other; made up, round figures.
SOUND: dict[str, dict[str, float]] = {
    "conveyor flanged": {
        "pitch": 160,
        "roller_diameter": 60,
        "flange_diameter": 70,
        "bush_diameter": 21,
        "bush_bore": 15.1,
        "pin_diameter": 15,
        "inner_width": 32,
        "inner_link_width": 45,
        "outer_link_inner_width": 46,
        "pin_length": 73,
        "pin_length_connecting": 87,
        "inner_plate_height": 40,
        "outer_plate_height": 40,
        "inner_plate_thickness": 6,
        "outer_plate_thickness": 6,
    },
    "hollow pin bush": {
        "pitch": 63,
        "bush_diameter": 17.5,
        "bush_bore": 13.1,
        "pin_diameter": 13,
        "hollow_pin_bore": 8.2,
    },
    "roller": {
        "pitch": 12.7,
        "transverse_pitch": 14.38,
        "inner_link_width": 11.18,
        "inner_plate_height": 12,
        "chain_path_depth": 12.3,
    },
    "offset sidebar": {
        "pitch": 90,
        "inner_width": 38,
        "sidebar_thickness": 12.7,
        "inner_link_width": 64,
        "outer_link_inner_width": 65,
        "pin_length": 95,
        "sidebar_height": 60,
        "pin_diameter": 22,
    },
    "bushed rollerless": {"pitch": 66, "sidebar_height": 28, "pin_diameter": 12.7, "sidebar_thickness": 6.35},
    "flat-top": {
        "pitch": 38.1,
        "plate_width": 82.6,
        "plate_thickness": 3,
        "hinge_diameter": 13,
        "hinge_width": 42,
        "pin_diameter": 6.35,
        "pin_length": 42.5,
    },
    "leaf": {"pitch": 12.7, "pin_diameter": 5.09, "bush_bore": 5.12, "inner_plate_height": 12.07},
}


def findings(*rows: Row) -> list[Finding]:
    return check(build(SOURCE, rows))


def row(
    kind: str, values: dict[str, float], name: str = "A", limits: dict[str, Limit] | None = None, strands: int = 1
) -> Row:
    return Row(name, kind, values, limits=limits or {}, strands=strands)


@pytest.mark.parametrize("kind", SOUND)
def test_sound_rows_pass(kind: str) -> None:
    assert findings(row(kind, SOUND[kind])) == []


def kind_with(*columns: str) -> str:
    return next(kind for kind, values in SOUND.items() if set(columns) <= set(values))


@pytest.mark.parametrize("rule", LESS, ids=lambda rule: f"{rule.small}<{rule.large}")
def test_every_rule_of_sizes_fires(rule: Less) -> None:
    both = {rule.small, rule.large}
    kind = next(k.name for k in KINDS if both <= set(k.dimensions) and rule.links in {None, k.links})
    found = findings(row(kind, {rule.large: 20.0, rule.small: 20.0 * rule.stretch + 1e-6}))
    assert [(f.column, f.severity, "not less than" in f.message) for f in found] == [(rule.small, rule.severity, True)]


@pytest.mark.parametrize(("inside", "plate", "over"), SUMS)
def test_every_rule_of_sums_fires(inside: str, plate: str, over: str) -> None:
    kind = kind_with(inside, plate, over)
    values = {**SOUND[kind], plate: SOUND[kind][over] / 2}
    assert any(f.column == over and "two plates" in f.message for f in findings(row(kind, values)))


def test_plates_of_several_strands_do_not_add_up_so() -> None:
    values = {"pitch": 12.7, "outer_link_inner_width": 11.2, "outer_plate_thickness": 1.5, "pin_length": 14.0}
    assert any("two plates" in f.message for f in findings(row("roller", values)))
    assert findings(row("roller", values, strands=2)) == []


def test_limits_may_touch() -> None:
    # the largest pin may exceed the smallest bore by a hair; nominal figures may not even be equal
    values = {"pitch": 12.7, "pin_diameter": 5.0, "bush_bore": 4.98}
    assert findings(row("leaf", values, limits={"pin_diameter": Limit.MAXIMUM, "bush_bore": Limit.MINIMUM})) == []
    assert findings(row("leaf", {**values, "bush_bore": 5.0}))
    wide = {**values, "bush_bore": 4.5}
    assert findings(row("leaf", wide, limits={"pin_diameter": Limit.MAXIMUM, "bush_bore": Limit.MINIMUM}))


def test_offset_sidebars_may_be_higher_than_the_pitch() -> None:
    assert findings(row("offset sidebar", {"pitch": 90.0, "sidebar_height": 100.0})) == []
    assert findings(row("bushed rollerless", {"pitch": 90.0, "sidebar_height": 100.0}))


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("pin_diameter", 0.0, "no size"),
        ("pin_diameter", -5.0, "no size"),
        ("pin_diameter", np.inf, "no size"),
        ("pitch", 2540.0, "more than 2000"),
        ("pitch", 1.5, "in inches"),
        ("hinge_width", 40.0, "has no hinge width"),
    ],
)
def test_single_figures(column: str, value: float, words: str) -> None:
    found = findings(row("leaf", {"pitch": 25.4, "bush_bore": 9.56, column: value}))
    assert any(f.column == column and words in f.message and f.severity is Severity.ERROR for f in found)


def leaf(name: str, size: float, **values: float) -> Row:
    return row("leaf", {"pitch": size, "pin_diameter": 0.4 * size, "pin_length": 1.2 * size, **values}, name)


def test_a_slipped_unit_is_found_in_the_right_cell() -> None:
    sizes = [12.7, 15.875, 19.05, 25.4, 31.75]
    sound = [leaf(f"A{n}", size) for n, size in enumerate(sizes)]
    assert findings(*sound) == []
    for factor in (25.4, 1 / 25.4):
        slipped = [*sound[:2], leaf("A2", 19.05, pin_length=1.2 * 19.05 * factor), *sound[3:]]
        found = [f for f in findings(*slipped) if "25.4 times" in f.message]
        assert [(f.row, f.column, f.severity) for f in found] == [("A2", "pin_length", Severity.ERROR)]


def test_a_step_back_in_a_series_is_a_doubt() -> None:
    rows = [leaf("A1", 12.7), leaf("A2", 15.875), leaf("A3", 19.05, pin_diameter=5.5)]
    assert [(f.row, f.column, f.severity) for f in findings(*rows)] == [("A3", "pin_diameter", Severity.DOUBT)]
    other_series = [*rows[:2], leaf("B3", 19.05, pin_diameter=5.5)]
    assert findings(*other_series) == []


def test_two_spellings_of_one_name() -> None:
    found = findings(leaf("A-1", 12.7), leaf("a 1", 15.875))
    assert [(f.column, f.severity) for f in found] == [("designation", Severity.ERROR)]


def test_rows_with_the_same_figures() -> None:
    found = findings(leaf("A1", 12.7), leaf("A2", 12.7))
    assert [(f.row, f.severity, "A1" in f.message) for f in found] == [("A2", Severity.DOUBT, True)]
    assert findings(row("drag", {"pitch": 152.4}, "A1"), row("drag", {"pitch": 152.4}, "A2")) == []


@pytest.mark.parametrize("part", ["name", "title", "standard", "evidence"])
def test_a_table_without_provenance(part: str) -> None:
    source = dataclasses.replace(SOURCE, **{part: " "})
    found = check(build(source, [leaf("A1", 12.7)]))
    assert [f.message for f in found] == [f"the table's {part} is empty"]


def test_a_figure_that_nobody_answers_for() -> None:
    found = findings(
        Row("A", "leaf", {"pitch": 12.7, "pin_diameter": 5.0}, trust={"pitch": Trust.USER, "pin_diameter": Trust.NONE})
    )
    assert [(f.column, f.severity) for f in found] == [("pin_diameter", Severity.ERROR)]


def test_a_recorded_doubt_explains_a_finding_but_not_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    doubts = (Doubt(("A*",), ("designation", "pin_diameter"), "seen"),)
    monkeypatch.setattr(checking, "_recorded", lambda catalog, number: doubts)
    found = findings(leaf("A1", 12.7), leaf("A2", 12.7), leaf("A3", 25.4, bush_bore=9.0))
    assert [(f.row, f.column, f.severity.value) for f in found] == [
        ("A3", "pin_diameter", "error"),
        ("A*", "designation, pin_diameter", "doubt"),
    ]


def broken(monkeypatch: pytest.MonkeyPatch, **changes: Any) -> list[str]:
    origin = dataclasses.replace(origin_of("leaf"), **changes)
    monkeypatch.setattr(checking, "origin_of", lambda _: origin)
    return [str(f) for f in check("leaf") if f.severity is Severity.ERROR]


def test_a_column_that_nothing_describes(monkeypatch: pytest.MonkeyPatch) -> None:
    columns = {name: column for name, column in origin_of("leaf").columns.items() if name != "bush_bore"}
    assert any("leaf, bush_bore" in message for message in broken(monkeypatch, columns=columns))


def test_a_described_column_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    columns = {**origin_of("leaf").columns, "hinge_width": origin_of("leaf").columns["pitch"]}
    assert any("hinge_width" in message for message in broken(monkeypatch, columns=columns))


def test_a_column_without_source(monkeypatch: pytest.MonkeyPatch) -> None:
    pitch = dataclasses.replace(origin_of("leaf").columns["pitch"], source="")
    assert any("was read" in m for m in broken(monkeypatch, columns={**origin_of("leaf").columns, "pitch": pitch}))


def test_a_doubt_about_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    assert any("ZZ9" in m for m in broken(monkeypatch, doubts=(Doubt(("ZZ9",), ("pitch",), "made up"),)))


def test_a_row_that_stands_for_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checking, "rows_of", lambda _: ((leaf("A", 12.7), "leaf/ZZ9"),))
    assert any("stands for leaf/ZZ9" in f.message for f in check("leaf"))


def test_a_row_with_an_unknown_mark_of_trust(monkeypatch: pytest.MonkeyPatch) -> None:
    line = Line({"designation": "A", "verified": "3"}, {}, {}, {})
    monkeypatch.setattr(checking, "lines_of", lambda _: (line,))
    assert any(f.row == "A" and f.column == "verified" for f in check("leaf"))


@pytest.mark.parametrize(
    ("values", "column"),
    [
        ({"hole_diameter": 0.0}, "hole_diameter"),
        ({"transverse_hole_spacing": 50.0, "overall_width": 40.0}, "transverse_hole_spacing"),
        ({"longitudinal_hole_spacing": 50.0, "plate_length": 40.0}, "longitudinal_hole_spacing"),
        ({"hole_height": 50.0, "overall_height": 40.0}, "hole_height"),
        ({"hole_diameter": 9.0, "slot_length": 8.0}, "hole_diameter"),
    ],
)
def test_impossible_attachments(monkeypatch: pytest.MonkeyPatch, values: dict[str, float], column: str) -> None:
    table = "attachments_iso1977"
    wrong = AttachmentRow(table, "M1", (), "K9", (), "bent", "", "", values, {}, {}, "", "")
    rows = (*load_attachments(table), wrong)
    monkeypatch.setattr(attachments, "load_attachments", lambda _: rows)
    found = [f for f in attachments.check_attachments(table) if f.severity is Severity.ERROR]
    assert [(f.row, f.column) for f in found] == [("M1 K9", column)]


@pytest.mark.parametrize("load", [load_table, load_attachments, check, origin_of])
def test_unknown_tables_are_refused(load: Callable[[str], object]) -> None:
    with pytest.raises(BadInput, match="'nonesuch' is not a packaged table") as caught:
        load("nonesuch")
    assert caught.value.right


def test_a_table_of_attachments_is_no_table_of_chains() -> None:
    with pytest.raises(BadInput, match="table of chains"):
        load_table("attachments_roller")


@pytest.mark.parametrize(
    ("made", "words"),
    [
        ([Row("A", "rope", {})], "'rope' is not a kind of chain"),
        ([Row("A", "leaf", {"girth": 1.0})], "'girth' is not a dimension"),
        ([Row("A", "leaf", {}), Row("A", "leaf", {})], "'A' occurs twice"),
    ],
)
def test_build_refuses_what_it_does_not_know(made: list[Row], words: str) -> None:
    with pytest.raises(BadInput, match=words) as caught:
        build(SOURCE, made)
    assert "made up" in caught.value.where
    assert caught.value.right
