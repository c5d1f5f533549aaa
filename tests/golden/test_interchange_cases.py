"""Interchange worked by hand on published figures, typed in again here; the source stands beside each chain.

What follows from them is arithmetic with the sprocket rules of ISO 606 clause 5: gaps take 1.01 roller diameters
(0.505 as a radius), the tooth is 0.93 of the inner width up to 12.7 mm pitch and 0.95 above, on several strands
0.91 and 0.93.
"""

import pytest

from builders import SOURCE
from chaincase import Catalog
from chaincase.catalog.table import Limit, Row, Trust, build
from chaincase.identifying.interchange import Interchange, Verdict, interchange

_ISO606 = ("pitch", "roller_diameter", "inner_width", "pin_diameter", "pin_length", "inner_plate_height")
_LIMITS = {
    "roller_diameter": Limit.MAXIMUM, "inner_width": Limit.MINIMUM, "pin_diameter": Limit.MAXIMUM,
    "pin_length": Limit.MAXIMUM, "inner_plate_height": Limit.MAXIMUM,
}  # fmt: skip

# ISO 606:1994 Table 1 (its authentic text as Annex A of GOST 13568-97): p, d1, b1, d2, b4, h2; tensile strength at
# the level of ISO 606:2004 from a public print.
ISO606 = {
    "08A-1": ((12.70, 7.95, 7.85, 3.96, 17.8, 12.07), 13.9),
    "08B-1": ((12.70, 8.51, 7.75, 4.45, 17.0, 11.81), 17.8),
    "12A-1": ((19.05, 11.91, 12.57, 5.94, 26.9, 18.08), 31.3),
    "12B-1": ((19.05, 12.07, 11.68, 5.72, 22.7, 16.13), 28.9),
    "16A-1": ((25.40, 15.88, 15.75, 7.92, 33.5, 24.13), 55.6),
    "16B-1": ((25.40, 15.88, 17.02, 8.28, 36.1, 21.08), 60.0),
}


def row(name: str, **changed: float) -> Row:
    figures, strength = ISO606[name]
    values = dict(zip(_ISO606, figures, strict=True)) | {k: v for k, v in changed.items() if k != "tensile_kn"}
    return Row(
        designation=name, kind="roller", values=values, limits=_LIMITS, trust=Trust.TWO_SOURCES, strands=1,
        tensile_kn=changed.get("tensile_kn", strength),
    )  # fmt: skip


def verdicts(rows: list[Row], old: str) -> dict[str, Interchange]:
    table = build(SOURCE, rows)
    return {each.designation: each for each in interchange(table, table.row(old))}


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        # 0.95 x 17.02 = 16.17 mm of tooth do not go between plates 15.75 mm apart.
        ("16B-1", "16A-1", "the tooth for 17.02 mm is 16.17 mm wide and does not go between plates 15.75 mm apart"),
        # 0.95 x 17.02 - 0.43 (IT14 up to 18 mm) = 15.74; the old tooth has 0.95 x 15.75 = 14.96.
        ("16A-1", "16B-1", "want a tooth of at least 15.74 mm; this one is 14.96 mm"),
        # 1.01 x 7.95 = 8.03 < 8.51.
        ("08A-1", "08B-1", "the roller of 8.51 mm does not seat in gaps cut for a roller of 7.95 mm"),
        # 1.01 x (8.51 - 7.95) = 0.57 > 0.138 x cube root of 7.95 = 0.28: looser than the standard's widest gap.
        ("08B-1", "08A-1", "the roller of 7.95 mm lies 0.28 mm deeper in gaps cut for a roller of 8.51 mm"),
        # 1.01 x 11.91 = 12.03 < 12.07, and the tooth of 0.95 x 12.57 = 11.94 mm is wider than 11.68 mm.
        ("12A-1", "12B-1", "the roller of 12.07 mm does not seat"),
    ],
)
def test_european_and_american_sizes_do_not_interchange(old: str, new: str, why: str):
    found = verdicts([row(name) for name in ISO606], old)
    assert found[new].verdict is Verdict.NO
    assert why in found[new].why


def test_only_the_sizes_of_one_pitch_are_named():
    assert set(verdicts([row(name) for name in ISO606], "16A-1")) == {"16B-1"}


def test_41_is_the_narrow_40():
    # ISO 606 085 = ANSI 41, public print: p 12.70, d1 7.77, b1 6.25, d2 3.59. The roller is near enough
    # (1.01 x 0.18 = 0.18 < 0.138 x cube root of 7.77 = 0.27); the tooth for 7.85 mm has 7.30 mm.
    narrow = row("08A-1", roller_diameter=7.77, inner_width=6.25, pin_diameter=3.59)
    other = Row("085", narrow.kind, narrow.values, narrow.limits, narrow.trust, strands=1, tensile_kn=6.7)
    found = verdicts([row("08A-1"), other], "08A-1")["085"]
    assert found.verdict is Verdict.NO
    assert found.why == "the tooth for 7.85 mm is 7.3 mm wide and does not go between plates 6.25 mm apart"


def test_a_heavy_chain_runs_on_the_same_sprocket_with_longer_pins():
    # ASME B29.1: 60H is 60 with plates of 1/8 in (3.17 mm) for 3/32 in (2.39 mm). Four plates stand side by side
    # on a pin: 4 x 0.78 = 3.12 mm; the standard's own length was not read.
    values = dict(row("12A-1").values)
    thin = {"inner_plate_thickness": 2.39, "outer_plate_thickness": 2.39}
    thick = {"inner_plate_thickness": 3.17, "outer_plate_thickness": 3.17}
    heavy = {name: value for name, value in values.items() if name != "pin_length"}
    rows = [
        Row("60", "roller", values | thin, trust=Trust.TWO_SOURCES, strands=1, tensile_kn=31.3),
        Row("60H", "roller", heavy | thick, trust=Trust.TWO_SOURCES, strands=1, tensile_kn=31.3),
    ]
    found = verdicts(rows, "60")["60H"]
    assert found.verdict is Verdict.LIMITED
    assert found.why == "thicker plates make it about 3.12 mm longer over the pins; not known: length over pin"


def test_two_strands_must_stand_as_far_apart():
    # ISO 606 Table 1: pt 29.29 (16A) and 31.88 (16B); 2.59 mm are far more than the side play of the tooth.
    values = dict(row("16A-1").values)
    rows = [
        Row(name, "roller", values | {"transverse_pitch": pt}, trust=Trust.TWO_SOURCES, strands=2, tensile_kn=111.2)
        for name, pt in (("16A-2", 29.29), ("as 16B-2", 31.88), ("near", 29.30))
    ]
    found = verdicts(rows, "16A-2")
    assert found["as 16B-2"].verdict is Verdict.NO
    assert "strands 31.88 mm apart instead of 29.29 mm" in found["as 16B-2"].why
    assert found["near"].verdict is Verdict.DROP_IN


STANDARD = Catalog.standard()


def listed(old: str) -> dict[str, Interchange]:
    return {each.designation: each for each in interchange(STANDARD, STANDARD.row(old))}


def test_double_pitch_conveyor_and_transmission_chain_share_a_sprocket():
    # ISO 1275: roller 7.95, inner width 7.85, pitch 25.4 of both; C2040 = C208A, 2040 = 208A. The large roller of
    # C2042 = C208AL has 15.88 mm.
    found = listed("208A")
    assert found["C208A"].verdict is Verdict.DROP_IN
    assert found["C208AL"].verdict is Verdict.NO
    assert "half the pitch" in found["08A-1"].why


def test_double_pitch_chain_on_the_base_chains_sprocket_is_said():
    found = listed("08A-1")
    assert found["208A"].verdict is Verdict.LIMITED
    assert found["208A"].why.startswith("double pitch: it sits in every second gap")
    assert "08B-1" in found
    assert found["08B-1"].verdict is Verdict.NO


def test_the_roller_forms_of_one_conveyor_size_meet_the_tooth_differently():
    # DIN 8167 / ISO 1977 M112: bush 21, small roller 30, large roller 60, flange 70 mm (two public prints).
    found = listed("M112x160")
    assert {found[f"M112x160 {form} roller"].verdict for form in ("small", "large", "flanged")} == {Verdict.NO}
    flanged = listed("M112x160 large roller")["M112x160 flanged roller"]
    assert flanged.verdict is Verdict.LIMITED
    assert "room beside the flange" in flanged.why
    assert [each.dimension for each in flanged.differs] == ["flange_diameter"]


def test_mill_chain_without_inner_width_is_never_called_a_drop_in():
    # The prints of W124 and W78 give no width between sidebars at the barrel, and the packaged rows no strength.
    for old in ("W124", "W78"):
        found = listed(old)
        assert found
        assert all(each.verdict is not Verdict.DROP_IN for each in found.values())
        assert all("not known: " in each.why for each in found.values() if each.verdict is Verdict.LIMITED)
    assert {"S188", "C188", "H78"} <= set(listed("W78"))


def test_leaf_chain_runs_on_no_sprocket():
    assert interchange(STANDARD, STANDARD.row("LL1222")) == ()
