"""The generator: reproducible, accepted, with the shares it states."""

from collections import Counter

import numpy as np
import pytest

from chaincase.calibration.chance import generator
from chaincase.calibration.construction import right_words
from chaincase.calibration.hands import LEAST_SLIPS, MOST_SLIPS
from chaincase.calibration.samples import FEWEST_FIGURES, FIT_SEEDS, REPORT_SEED, STAMPED, UNLISTED, Sample, sample_of
from chaincase.calibration.stamps import LEGIBILITY, marks, numbers_of, stamped_number, worn_text
from chaincase.calibration.twins import with_twins
from chaincase.calibration.unlisted import outside
from chaincase.calibration.writing import Pen, swap_unit, transpose, write
from chaincase.catalog.table import Catalog, Limit, Row, Source, Trust, build
from chaincase.chains.dimensions import BY_NAME, COLUMN, UNNAMED
from chaincase.chains.kinds import INDEX
from chaincase.identifying.evidence import Evidence

SOURCE = Source(
    "hand", "Rows for tests", "ISO 606, ISO 1977 and others, some figures", "copied from the packaged tables"
)
MAXIMA = {
    "roller_diameter": Limit.MAXIMUM,
    "pin_diameter": Limit.MAXIMUM,
    "inner_width": Limit.MINIMUM,
    "inner_plate_height": Limit.MAXIMUM,
}
A16 = {
    "pitch": 25.4,
    "roller_diameter": 15.88,
    "pin_diameter": 7.94,
    "inner_width": 15.75,
    "inner_plate_height": 24.13,
    "inner_plate_thickness": 3.2,
}
M112 = {
    "pitch": 160.0,
    "bush_diameter": 21.0,
    "pin_diameter": 15.0,
    "inner_width": 32.0,
    "inner_plate_height": 40.0,
    "inner_plate_thickness": 6.0,
}


A12 = {"pitch": 19.05, "roller_diameter": 11.91, "pin_diameter": 5.94, "inner_width": 12.57}
W78 = {"pitch": 66.27, "bush_diameter": 22.4, "pin_diameter": 12.7, "sidebar_height": 28.7, "sidebar_thickness": 6.4}
LEAF = {"pin_diameter": Limit.MAXIMUM, "pin_length": Limit.MAXIMUM}
TWO, ONE, MEMORY = Trust.TWO_SOURCES, Trust.ONE_SOURCE, Trust.MEMORY


def rows() -> list[Row]:
    return [
        Row("16A-1", "roller", A16, MAXIMA, TWO, ("16A", "ISO 606 16A-1", "ANSI 80", "80"), 1),
        Row("16A-2", "roller", A16 | {"transverse_pitch": 29.29}, MAXIMA, TWO, ("ANSI 80-2",), 2),
        Row("12A-1", "roller", A12, MAXIMA, ONE, (), 1),
        Row("M112x160", "conveyor bush", M112, {}, TWO, ("M112-B-160", "M112"), 1),
        Row("M112x160 large roller", "conveyor roller", M112 | {"roller_diameter": 60.0}, {}, TWO, ("M112",), 1),
        Row("W78", "welded steel", W78, {}, ONE, ("WR78",), 1),
        Row("W88", "welded steel", {"pitch": 66.27}, {}, MEMORY, (), 1),
        Row("LH0822", "leaf", {"pitch": 12.7, "pin_diameter": 5.09, "pin_length": 11.1}, LEAF, TWO, ("BL422",)),
        Row("steel 62", "detachable", {"pitch": 42.01}, {}, MEMORY, ("62",)),
        Row("nothing", "pintle", {}, {}, MEMORY),
    ]


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    return build(SOURCE, rows())


@pytest.fixture(scope="module")
def samples(catalog: Catalog) -> list[Sample]:
    return [sample_of(FIT_SEEDS[0], i, catalog) for i in range(1500)]


def test_a_sample_is_the_same_whatever_came_before(catalog: Catalog) -> None:
    later = sample_of(7, 40, catalog)
    sample_of(7, 3, catalog)
    assert sample_of(7, 40, catalog) == later
    assert sample_of(8, 40, catalog) != later


def test_fit_and_report_seeds_are_apart() -> None:
    assert FIT_SEEDS[-1] < REPORT_SEED


def test_evidence_is_always_accepted_and_has_no_unknown_keys(samples: list[Sample]) -> None:
    for each in samples:
        assert Evidence.of(each.evidence).unread() == []


def test_truth_is_named_as_the_catalog_does(samples: list[Sample], catalog: Catalog) -> None:
    for each in samples:
        assert (each.truth is None) == (each.row is None)
        if each.truth is not None:
            assert catalog.row(each.truth) == each.row


def test_every_row_with_a_figure_is_drawn(samples: list[Sample], catalog: Catalog) -> None:
    counts = Counter(each.row for each in samples)
    drawn = {row for row in counts if row is not None}
    assert drawn == set(range(len(catalog))) - {catalog.row("nothing")}
    assert min(counts[row] for row in drawn) > 100


def test_drawing_by_tables_gives_every_table_the_same_share(catalog: Catalog) -> None:
    other = build(Source("other", "One row", "", ""), [Row("A1", "leaf", {"pitch": 19.05, "pin_diameter": 5.94})])
    both = catalog + other
    hits = [sample_of(1, i, both, draw="tables").row == len(catalog) for i in range(300)]
    assert 0.35 < np.mean(hits) < 0.55


def near(share: float, stated: float, n: int) -> bool:
    """Within four standard errors."""
    return abs(share - stated) < 4 * (stated * (1 - stated) / n) ** 0.5


def test_shares_are_about_as_stated(samples: list[Sample]) -> None:
    n = len(samples)
    listed = [each for each in samples if each.truth is not None]
    slips = [slip for each in samples for slip in each.meta.slips]
    assert near((n - len(listed)) / n, UNLISTED, n)
    full = [each for each in listed if len(each.meta.chain.piece.listed) >= FEWEST_FIGURES]
    assert near(np.mean([bool(each.evidence["marks"]) for each in full]), STAMPED, len(full))
    assert 0.8 * LEAST_SLIPS < np.mean([bool(slip) for slip in slips]) < 1.1 * MOST_SLIPS
    assert {1, 2, 3, 4, 5} <= {len(each.evidence["readings"]) for each in samples}


def test_all_sorts_of_readings_occur(samples: list[Sample]) -> None:
    readings = [reading for each in samples for reading in each.evidence["readings"]]
    instruments = {reading.get("instrument", "") for reading in readings}
    assert {"tape", "steel rule", "caliper", "digital caliper", "unknown", "photograph", ""} == instruments
    assert {reading["dimension"] for reading in readings} >= set(UNNAMED) | {"pitch", "pin_diameter"}
    assert {reading.get("over", 1) for reading in readings} >= {1, 2, 3, 4, 10}
    assert any("/" in reading["value"] for reading in readings)
    assert any("," in reading["value"] for reading in readings)
    assert any(reading["value"].replace(".", "").isdigit() for reading in readings)


def test_what_a_pitch_reading_says_is_the_total(samples: list[Sample]) -> None:
    """Without a slip or an edge, the value over the pitches spanned is near the pitch."""
    seen = 0
    for each in samples:
        for reading, slip in zip(each.evidence["readings"], each.meta.slips, strict=True):
            plain = reading.get("technique", "") in {"center to center", "same edge"}
            if reading["dimension"] != "pitch" or slip or not plain or reading.get("instrument") == "photograph":
                continue
            if not reading["value"].endswith("mm"):
                continue
            size = float(reading["value"].removesuffix(" mm").replace(",", ".")) / reading["over"]
            pitch = each.meta.chain.piece.new["pitch"]
            assert abs(size - pitch) < 0.1 * pitch + 6.0
            seen += 1
    assert seen > 100


def test_measured_dimensions_exist_on_the_chain_unless_it_is_a_slip(samples: list[Sample]) -> None:
    for each in samples:
        new = each.meta.chain.piece.new
        for reading, slip in zip(each.evidence["readings"], each.meta.slips, strict=True):
            names = UNNAMED.get(reading["dimension"], (reading["dimension"],))
            assert slip or any(name in new for name in names)


def test_dimensions_that_the_table_leaves_empty_are_measured_too(samples: list[Sample], catalog: Catalog) -> None:
    row = catalog.row("W88")
    names = {r["dimension"] for each in samples if each.row == row for r in each.evidence["readings"]}
    assert {"pitch", "sidebar_height", "pin_diameter"} <= names


def test_an_unlisted_chain_differs_from_every_row_with_a_figure(samples: list[Sample], catalog: Catalog) -> None:
    unlisted = [each.meta.chain for each in samples if each.row is None]
    assert len(unlisted) > 100
    for chain in unlisted:
        same = np.flatnonzero((catalog.kind == INDEX[chain.piece.kind.name]) & (catalog.strands == chain.piece.strands))
        known = same[~np.isnan(catalog.values[same]).all(axis=1)]
        assert outside(chain.piece, catalog, known).any(axis=1).all()


def test_a_listed_chain_lies_within_the_tolerances_of_its_row_as_a_rule(
    samples: list[Sample], catalog: Catalog
) -> None:
    within = [
        not outside(each.meta.chain.piece, catalog, np.array([each.row])).any()
        for each in samples
        if each.row is not None
    ]
    assert np.mean(within) > 0.9


def test_new_parts_lie_inside_their_limits(samples: list[Sample], catalog: Catalog) -> None:
    inside = {Limit.MAXIMUM: lambda size, figure: size <= figure, Limit.MINIMUM: lambda size, figure: size >= figure}
    checked = 0
    for each in samples:
        if each.row is None:
            continue
        for name in each.meta.chain.piece.listed:
            limit = Limit(int(catalog.limits[each.row, COLUMN[name]]))
            if limit in inside:
                figure = float(catalog.values[each.row, COLUMN[name]])
                assert inside[limit](each.meta.chain.piece.new[name], figure)
                checked += 1
    assert checked > 500


def test_construction_words_are_mostly_right(samples: list[Sample]) -> None:
    said = [(each, word) for each in samples for word in each.evidence["construction"]]
    right = np.mean([word in right_words(each.meta.chain.piece) for each, word in said])
    assert 0.80 < right < 0.99
    silent = np.mean([not each.evidence["construction"] for each in samples])
    assert 0.04 < silent < 0.20


def test_minutes_add_up(samples: list[Sample]) -> None:
    assert all(each.minutes >= len(each.evidence["readings"]) for each in samples)


def test_twins_are_shifted_by_a_little(catalog: Catalog) -> None:
    twins = with_twins(generator(3, 0), catalog, 1.0)
    known = (~np.isnan(catalog.values)).sum(axis=1) >= 2
    assert len(twins) == len(catalog) + known.sum()
    models = np.flatnonzero(known)
    for place, model in enumerate(models):
        ratio = twins.values[len(catalog) + place] / catalog.values[model]
        shifted = np.abs(ratio[~np.isnan(ratio)] - 1.0)
        shifted = shifted[shifted > 0]
        assert 1 <= len(shifted) <= 2
        assert (shifted >= 0.0199).all()
        assert (shifted <= 0.0601).all()
    assert len(set(twins.designations)) == len(twins)
    assert len(with_twins(generator(3, 0), catalog, 0.0)) == len(catalog)


def test_stamped_numbers() -> None:
    numbers = numbers_of("16A-2", ("ISO 606 16A-2", "ANSI 80-2", "JIS 80-2"))
    assert numbers == ["16A-2", "80-2"]
    rng = generator(1, 1)
    stamped = Counter(stamped_number(rng, numbers, 2) for _ in range(200))
    assert set(stamped) == {"16A-2", "80-2", "16A", "80"}
    assert stamped["16A"] + stamped["80"] > 120
    assert numbers_of("steel 62", ("ASME B29.6 62",)) == ["62"]
    assert numbers_of("38.1x82.6 single hinge", ()) == []
    conveyor = numbers_of("M112x160 flanged roller", ("M112-F-160",))
    assert Counter(stamped_number(rng, conveyor, 1) for _ in range(100))["M112"] > 40


def test_stamps_keep_their_length_but_for_missing_ends() -> None:
    rng = generator(2, 2)
    for state in LEGIBILITY:
        for _ in range(200):
            read = worn_text(rng, "WR124", state)
            assert len(read) == 5 or "*" in read
    assert all(mark["text"].strip("?* ") for _ in range(200) for mark in marks(rng, "W78"))


def test_writing() -> None:
    rng = generator(4, 4)
    inch = Pen("in", bare=False, comma=False, mark=True, trims=False)
    texts = {write(rng, 103.1, "tape", inch) for _ in range(40)}
    assert '4 1/16"' in texts
    comma = Pen("mm", bare=False, comma=True, mark=False, trims=False)
    assert "18,91 mm" in {write(rng, 18.912, "digital caliper", comma) for _ in range(20)}
    assert swap_unit("12,5") == "12,5"
    assert transpose(rng, "22 mm") == "22 mm"
    assert transpose(rng, "1 3/4 in") == "1 3/4 in"


def test_dimensions_of_hand_rows_exist() -> None:
    """Guards the rows above against a misspelled name."""
    assert all(name in BY_NAME for row in rows() for name in row.values)
