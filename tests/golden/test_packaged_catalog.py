"""The standard catalog: one row per chain with all its names, kinds, recorded doubts, and the tables of attachments."""

import numpy as np
import pytest

from chaincase.catalog.attachments import ATTACHMENT_TABLES, AttachmentRow, load_attachments, load_standards
from chaincase.catalog.check import check
from chaincase.catalog.describe import FROM_MEMORY, describe, remembered
from chaincase.catalog.findings import Severity
from chaincase.catalog.packaged import TABLES, load_table, rows_of
from chaincase.catalog.provenance import origin_of
from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.kinds import KINDS


def test_gost_overall_width_is_the_iso_length_with_fastener() -> None:
    # GOST 13568-97 Annex B names twelve equals; their b lies within 1.6 mm of b4 + b7 and well above b4
    catalog = Catalog.standard()
    pairs = [(row, same) for row, same in rows_of("gost13568") if same]
    assert len(pairs) == 12
    for row, same in pairs:
        known = catalog.dimensions_of(catalog.row(same.partition("/")[2]))
        assert abs(row.values["pin_length_connecting"] - known["pin_length_connecting"]) < 1.6
        assert row.values["pin_length_connecting"] > known["pin_length"]


@pytest.mark.parametrize(
    ("name", "designation"),
    [
        ("ANSI 40", "08A-1"),
        ("40", "08A-1"),
        ("08A", "08A-1"),
        ("ASME B29.1 80", "16A-1"),
        ("41", "085"),
        ("ANSI 35", "06C-1"),
        ("16B", "16B-1"),
        ("DIN 8187 16B-1", "16B-1"),
        ("ПР-12.7-18.2", "08B-1"),
        ("GOST 13568 ПР-25.4-60", "16A-1"),
        ("M112-F-160", "M112x160 flanged roller"),
        ("М112-4-160-1", "M112x160 flanged roller"),
        ("МС28-2-63-1", "MC28x63 small roller"),
        ("ANSI C2062H", "C212AHL"),
        ("2040", "208A"),
        ("BL422", "LH0822"),
        ("WR124", "W124"),
        ("WDH480", "WD480"),
        ("C550", "A550"),
        ("ISO 3512 2010", "2010"),
        ("S102.5", "S102-1/2"),
        ("3000 lbf", "13 kN"),
    ],
)
def test_names_of_other_standards_lead_to_the_one_row(name: str, designation: str) -> None:
    catalog = Catalog.standard()
    assert catalog.designations[catalog.row(name)] == designation


def test_every_chain_stands_once() -> None:
    catalog = Catalog.standard()
    tables = {source.name for source in catalog.sources}
    assert "ansi_b29_1" not in tables  # all of its rows are ISO 606 rows
    merged = sum(1 for table in TABLES for _, same in rows_of(table) if same)
    assert len(catalog) == sum(len(rows_of(table)) for table in TABLES) - merged
    # ПР-12.7-18.2-1 has no equal in ISO 606, М1250 none in ISO 1977
    assert catalog.table_of(catalog.row("ПР-12.7-18.2-1")) == "gost13568"
    assert catalog.table_of(catalog.row("М1250x315")) == "gost588"


def test_a_designation_leads_to_its_own_row() -> None:
    catalog = Catalog.standard()
    assert [catalog.row(designation) for designation in catalog.designations] == list(range(len(catalog)))


def test_the_bare_size_is_a_name_of_all_its_rows() -> None:
    catalog = Catalog.standard()
    rows = [row for row in range(len(catalog)) if "M112" in catalog.alternatives[row]]
    assert len(rows) == 8 * 4


@pytest.mark.parametrize(
    ("designation", "kind"),
    [
        ("08A-1", "roller"),
        ("04C-2", "bush"),
        ("2ПВ-9.525-20", "bush"),
        ("ПРИ-140-1200", "offset sidebar"),
        ("C208AL", "double pitch"),
        ("M20x40", "conveyor bush"),
        ("M20x40 small roller", "conveyor roller"),
        ("M20x40 flanged roller", "conveyor flanged"),
        ("MC28x63", "hollow pin bush"),
        ("MC28x63 large roller", "hollow pin roller"),
        ("MC28x63 flanged roller", "hollow pin flanged"),
        ("FV40 large roller", "conveyor roller"),
        ("13 kN", "conveyor roller"),
        ("2010", "offset sidebar"),
        ("S188", "bushed rollerless"),
        ("C188", "combination"),
        ("H78", "cast mill"),
        ("442", "pintle"),
        ("667H", "pintle"),
        ("CS720S", "class 700"),
        ("N730S", "class 700"),
        ("W124", "welded steel"),
        ("WD104", "drag"),
        ("X348", "rivetless"),
        ("Р1-80-106", "rivetless"),
        ("steel 51", "detachable"),
        ("C13S", "flat-top"),
        ("S55", "agricultural"),
        ("LH0822", "leaf"),
    ],
)
def test_kinds(designation: str, kind: str) -> None:
    catalog = Catalog.standard()
    assert KINDS[int(catalog.kind[catalog.row(designation)])].name == kind


@pytest.mark.parametrize("table", [*TABLES, *ATTACHMENT_TABLES])
def test_packaged_tables_have_no_error(table: str) -> None:
    assert [str(finding) for finding in check(table) if finding.severity is Severity.ERROR] == []


@pytest.mark.parametrize(
    ("table", "row", "column"),
    [
        ("agricultural", "CA960", "mass_kg_per_m"),
        ("agricultural", "S62", "inner_width"),
        ("rivetless", "X348", "pitch"),
        ("leaf", "AL888", "pin_length"),
        ("attachments_iso1977", "M630 deep-link", "platform_height"),
    ],
)
def test_known_doubts_are_shown(table: str, row: str, column: str) -> None:
    doubts = [f for f in check(table) if f.severity is Severity.DOUBT]
    assert any(row in doubt.row and column in doubt.column for doubt in doubts)


@pytest.mark.parametrize("table", TABLES)
def test_every_figure_has_a_source_and_every_table_its_evidence(table: str) -> None:
    origin = origin_of(table)
    assert all(column.source for column in origin.columns.values())
    assert len(origin.source.evidence) > 40
    catalog = load_table(table)
    filled = ~np.isnan(catalog.values)
    assert (catalog.trust[filled] <= Trust.MEMORY).all()
    assert (catalog.trust[~filled] == Trust.NONE).all()


def test_description_of_a_row() -> None:
    catalog = Catalog.standard()
    described = describe(catalog, catalog.row("LH2022"))
    assert [d.dimension.name for d in described][:2] == ["pitch", "pin_diameter"]
    assert described[1].value == 11.11  # from memory of ISO 4347
    assert remembered(catalog, catalog.row("LH2022")) == ("pin_diameter",)
    assert remembered(catalog, catalog.row("16B-1")) == ()
    assert FROM_MEMORY.startswith("figures from memory")


def attachment(table: str, label: str, **values: float) -> AttachmentRow:
    rows = [row for row in load_attachments(table) if row.label == label]
    return next(row for row in rows if all(row.values.get(name) == value for name, value in values.items()))


def test_attachments() -> None:
    # ISO 606:1994 attachment table (GOST 13568-97 Table A.2): height nominal, hole not less than, across nominal
    k1 = attachment(
        "attachments_roller", "08B K1", platform_height=8.89, transverse_hole_spacing=25.4, hole_diameter=4.3
    )
    assert k1.limits["hole_diameter"] is Limit.MINIMUM
    assert k1.trust["platform_height"] is Trust.TWO_SOURCES
    assert k1.trust["plate_length"] is Trust.ONE_SOURCE
    assert (
        attachment("attachments_roller", "20A K1", platform_height=19.84, hole_diameter=8.2).limits["hole_diameter"]
        is Limit.MINIMUM
    )
    # public print headed ISO 606, straight plates; plates 3.7 inside and 3 outside
    m2 = attachment(
        "attachments_roller", "16B M2", hole_height=23.0, longitudinal_hole_spacing=25.4, overall_height=39.7
    )
    assert (m2.form, m2.limits["hole_diameter"]) == ("straight", Limit.NOMINAL)
    assert (m2.values["inner_plate_thickness"], m2.values["outer_plate_thickness"]) == (3.7, 3.0)
    # from memory of ISO 1977
    k2 = attachment(
        "attachments_iso1977", "M112 K2", longitudinal_hole_spacing=65.0, min_pitch=160.0, overall_width=184.0
    )
    assert k2.trust["hole_diameter"] is Trust.MEMORY
    # one public print of agricultural attachments
    slot = attachment("agricultural_attachments", "S55H K1", platform_height=13.4, slot_length=11.4, overall_width=82.0)
    assert slot.values["transverse_hole_spacing"] == 52.7
    assert attachment("agricultural_attachments", "CA550 C11E").values["angle_deg"] == 15.0


def test_codes_and_standards() -> None:
    codes = {row.attachment: row for row in load_attachments("attachments_nomenclature")}
    assert (codes["K-2"].sides, codes["K-2"].holes) == ("both sides", "2 per side")
    standards = {row.standard: row for row in load_standards()}
    assert standards["ANSI B29.13-1972"].relation == "replaced by B29.21"
    assert standards["ASME B29.11M-1994"].trust is Trust.TWO_SOURCES
