"""Packaged tables against figures typed by hand from the text named beside each block, not from the packaged files."""

import math

import pytest

from chaincase.catalog.packaged import TABLES, load_table
from chaincase.catalog.table import Limit, Trust
from chaincase.chains.dimensions import COLUMN

FIGURES: dict[str, dict[str, dict[str, float]]] = {
    # ISO 606:1994 Table 1 as Annex A of GOST 13568-97; heavy series: public print and ASME B29.1M plate thickness
    "iso606_a": {
        "08A-1": {
            "pitch": 12.7,
            "roller_diameter": 7.95,
            "inner_width": 7.85,
            "pin_diameter": 3.96,
            "bush_bore": 4.01,
            "inner_link_width": 11.18,
            "outer_link_inner_width": 11.23,
            "pin_length": 17.8,
            "chain_path_depth": 12.33,
            "pin_length_connecting": 21.7,
            "inner_plate_height": 12.07,
            "outer_plate_height": 10.41,
        },
        "16A-2": {"transverse_pitch": 29.29, "pin_length": 62.7, "pin_length_connecting": 68.1},
        "48A-3": {"inner_width": 47.36, "transverse_pitch": 87.83, "pin_length": 271.3},
        "80H-1": {"inner_plate_thickness": 3.96, "transverse_pitch": 32.59, "pin_diameter": 7.94},
        "04C-1": {"bush_diameter": 3.3, "pin_diameter": 2.3, "inner_width": 3.1},
    },
    # ISO 606:1994 Table 1 as Annex A of GOST 13568-97; 03B: DIN 8187 / BS 228 list
    "iso606_b": {
        "16B-1": {
            "roller_diameter": 15.88,
            "inner_width": 17.02,
            "pin_diameter": 8.28,
            "inner_link_width": 25.45,
            "outer_link_inner_width": 25.58,
            "pin_length": 36.1,
            "inner_plate_height": 21.08,
            "transverse_pitch": 31.88,
        },
        "05B-3": {"pitch": 8.0, "pin_length": 19.9, "transverse_pitch": 5.64},
        "28B-1": {"bush_bore": 15.96, "pin_diameter": 15.9, "roller_diameter": 27.94},
        "72B-1": {"pitch": 114.3, "pin_length": 147.4, "outer_plate_height": 103.63},
        "03B-1": {"pitch": 5.0, "roller_diameter": 3.2, "pin_length": 7.4},
    },
    # ASME/ANSI B29.1M general dimensions on an engineering reference page, inches x 25.4
    "ansi_b29_1": {
        "40": {
            "roller_diameter": 7.92,
            "inner_width": 7.92,
            "pin_diameter": 3.96,
            "bush_bore": 4.0,
            "inner_link_width": 11.16,
        },
        "180": {"roller_diameter": 35.71, "inner_plate_height": 54.29, "outer_plate_height": 46.86},
        "35": {"bush_diameter": 5.08, "pin_diameter": 3.58, "inner_plate_thickness": 1.27},
    },
    # GOST 13568-97 Tables 1 and 2
    "gost13568": {
        "ПР-12.7-18.2": {
            "inner_width": 7.75,
            "roller_diameter": 8.51,
            "inner_plate_height": 11.8,
            "pin_length_connecting": 21.0,
        },
        "3ПР-44.45-517.2": {"transverse_pitch": 48.87, "pin_diameter": 12.7, "pin_length_connecting": 160.0},
        "ПРИ-140-1200": {"pitch": 140.0, "roller_diameter": 65.0, "sidebar_height": 90.0, "pin_length": 182.0},
        "ПВ-9.525-11.5": {"bush_diameter": 5.0, "pin_diameter": 3.59, "inner_width": 7.6},
    },
    # ISO 606:1994 base chains at double pitch; large rollers and plates of the conveyor rows: public print 4
    "iso1275": {
        "208A": {"pitch": 25.4, "roller_diameter": 7.95, "pin_length": 17.8, "sidebar_height": 11.8},
        "C212AHL": {"pitch": 38.1, "roller_diameter": 22.23, "sidebar_thickness": 3.25, "pin_length": 29.2},
        "216B": {"inner_plate_thickness": 4.12, "outer_plate_thickness": 3.1, "inner_width": 17.02},
    },
    # Two public prints of DIN 8167-1 / ISO 1977
    "iso1977_m": {
        "M112x160 flanged roller": {
            "pitch": 160.0,
            "roller_diameter": 60.0,
            "flange_diameter": 70.0,
            "bush_diameter": 21.0,
        },
        "M112x400": {"pitch": 400.0, "bush_diameter": 21.0, "pin_diameter": 15.0, "bush_bore": 15.1},
        "M20x40 small roller": {"roller_diameter": 12.5, "inner_plate_thickness": 2.5, "inner_link_width": 22.0},
        "M900x1000 large roller": {"roller_diameter": 170.0, "pin_length": 180.0, "pin_length_connecting": 217.0},
    },
    # from memory of the ISO 1977 hollow-pin table
    "iso1977_mc": {
        "MC56x125 small roller": {"pin_diameter": 15.5, "hollow_pin_bore": 10.2, "roller_diameter": 30.0},
        "MC224x500": {"bush_diameter": 41.0, "bush_bore": 31.2, "inner_plate_height": 72.0},
        "MC28x63 flanged roller": {"roller_diameter": 36.0, "inner_width": 20.0, "pin_length": 42.0},
    },
    # from memory of the older DIN 8165-1
    "din8165_fv": {
        "FV112": {"inner_width": 30.0, "pin_diameter": 16.0, "bush_diameter": 22.0},
        "FV630 large roller": {"roller_diameter": 120.0, "outer_plate_height": 100.0, "inner_plate_thickness": 12.0},
    },
    # from memory of GOST 588-81
    "gost588": {
        "М112x160 small roller": {"pin_diameter": 15.0, "roller_diameter": 30.0, "inner_plate_height": 40.0},
        "М1800x1000 large roller": {"roller_diameter": 236.0, "bush_diameter": 85.0, "inner_plate_thickness": 20.0},
    },
    # GOST 589-85: example of a designation in the text
    "gost589": {"Р1-80-106": {"pitch": 80.0}, "Р2-80-290": {"pitch": 80.0}, "Р2-100-220": {"pitch": 100.0}},
    # from memory of BS 4116-4
    "bs4116": {
        "13 kN": {"roller_diameter": 25.4},
        "54 kN": {"roller_diameter": 47.6},
        "200 kN": {"roller_diameter": 88.9},
    },
    # from memory of ISO 3512:1992 Table 1 and, pitch, of ASME B29.10M (inch)
    "offset_sidebar": {
        "2512": {
            "pitch": 3.067 * 25.4,
            "roller_diameter": 1.625 * 25.4,
            "inner_width": 39.6,
            "inner_link_width": 59.13,
        },
        "5628": {"pitch": 177.8, "pin_diameter": 44.48, "sidebar_height": 133.4},
    },
    # from memory of common tables of steel bushed chain, inches
    "bushed_rollerless": {
        "S188": {"pitch": 2.609 * 25.4, "bush_diameter": 7 / 8 * 25.4, "pin_diameter": 12.7, "sidebar_thickness": 6.35},
        "S102-1/2": {"pitch": 4.04 * 25.4, "bush_diameter": 1.375 * 25.4, "inner_width": 57.15},
        "S864": {"pitch": 177.8, "bush_diameter": 2.375 * 25.4, "sidebar_height": 101.6},
    },
    # from memory of ASME B29.11M, inches
    "combination": {
        "C188": {"pitch": 2.609 * 25.4, "bush_diameter": 0.88 * 25.4, "sidebar_height": 1.125 * 25.4},
        "C132": {"pitch": 6.05 * 25.4, "bush_diameter": 1.72 * 25.4, "pin_diameter": 25.4},
    },
    # from memory of ASME B29.14M and B29.25, inches; CS720S: one public specification citing ASME B29.21M-1996
    "h_type_mill": {
        "H78": {"pitch": 2.609 * 25.4, "bush_diameter": 7 / 8 * 25.4, "pin_diameter": 12.7},
        "CS720S": {"pitch": 152.4, "pin_diameter": 19.05},
        "667H": {"pitch": 2.313 * 25.4, "pin_diameter": 5 / 16 * 25.4},
    },
    # public print 1 (letters P, A, D, F, T, W, B)
    "welded_mill": {
        "W124": {
            "pitch": 101.6,
            "pin_diameter": 19.05,
            "bush_diameter": 36.6,
            "sidebar_height": 38.1,
            "sidebar_thickness": 9.14,
        },
        "W132": {"pitch": 153.67, "inner_link_width": 111.8, "pin_length": 161.8},
        "W78": {"bush_diameter": 22.4, "pin_diameter": 12.7, "pin_length": 78.7},
    },
    # from memory
    "welded_drag": {"WD102": {"pitch": 127.0}, "WD104": {"pitch": 152.4}, "WD480": {"pitch": 203.2}},
    # one public print of sizes 348, 458, 678, 698
    "rivetless": {
        "X348": {"pitch": 76.2, "pin_diameter": 12.7, "pin_length": 46.99},
        "698": {"pitch": 153.18, "pin_diameter": 28.44, "pin_length": 95.25},
    },
    # from memory of ASME B29.6M and B29.7M, inches
    "detachable": {
        "steel 51": {"pitch": 1.133 * 25.4},
        "malleable 51": {"pitch": 1.155 * 25.4},
        "malleable 124": {"pitch": 4.063 * 25.4},
    },
    # public prints; NF E26-108 / DIN 8153
    "flat_top": {
        "C13S": {
            "pitch": 38.1,
            "plate_width": 82.6,
            "plate_thickness": 3.0,
            "hinge_diameter": 13.0,
            "hinge_width": 42.0,
        },
        "C30D": {"plate_width": 190.5, "hinge_width": 80.0, "pin_length": 80.5},
    },
    "flat_top_sideflex": {
        "38.1x82.6 side-flexing bevel guide (type E)": {"pitch": 38.1, "plate_width": 82.6, "pin_diameter": 6.35},
        "38.1x190.5 side-flexing tab guide (type T)": {"plate_width": 190.5, "plate_thickness": 3.0},
    },
    # one public print headed DIN 8189 / ISO 487-1984
    "agricultural": {
        "S55": {"pitch": 41.4, "roller_diameter": 17.78, "inner_width": 22.23, "pin_diameter": 5.72},
        "CA550": {"roller_diameter": 16.87, "inner_width": 19.81, "pin_length": 35.0, "inner_plate_height": 19.3},
        "S62": {"inner_width": 26.2, "pin_length_connecting": 43.0, "inner_plate_thickness": 2.5},
    },
    # ASME B29.8 reprint (D max .2004 in, hole min .2016 in, H max .475 in, T max .082 in) and public prints
    "leaf": {
        "LH0822": {"pin_diameter": 5.09, "bush_bore": 5.12, "inner_plate_height": 12.07, "inner_plate_thickness": 2.08},
        "LH1666": {"pin_diameter": 9.53, "bush_bore": 9.56, "pin_length": 54.5},
        "LL0844": {"pin_diameter": 4.45, "outer_plate_height": 10.92, "pin_length": 14.6},
        "AL888": {"pin_length": 55.5, "outer_plate_thickness": 3.25, "inner_plate_height": 20.8},
    },
}

STRENGTHS = {
    "iso606_a": ("16A-1", 55.6, 2.80),
    "iso606_b": ("16B-2", 106.0, 5.50),
    "gost13568": ("4ПР-38.1-508", 508.0, 22.0),
    "iso1977_m": ("M112x160", 112.0, math.nan),
    "bs4116": ("160 kN", 160.14, math.nan),
    "agricultural": ("CA960", 66.0, 6.94),
    "leaf": ("AL1288", 480.4, 14.03),
}

ROWS = {
    "iso606_a": 68,
    "iso606_b": 52,
    "ansi_b29_1": 14,
    "gost13568": 43,
    "iso1275": 47,
    "iso1977_m": 87 * 4,
    "iso1977_mc": 23 * 4,
    "din8165_fv": 22,
    "gost588": 121 * 4,
    "gost589": 4,
    "bs4116": 12,
    "offset_sidebar": 8,
    "bushed_rollerless": 11,
    "combination": 10,
    "h_type_mill": 28,
    "welded_mill": 11,
    "welded_drag": 10,
    "rivetless": 8,
    "detachable": 37,
    "flat_top": 18,
    "flat_top_sideflex": 7,
    "agricultural": 25,
    "leaf": 106,
}


def cell(table: str, designation: str, column: str) -> tuple[float, Limit, Trust]:
    catalog = load_table(table)
    row = catalog.designations.index(designation)
    at = COLUMN[column]
    return float(catalog.values[row, at]), Limit(catalog.limits[row, at]), Trust(catalog.trust[row, at])


def test_every_table_is_sampled() -> None:
    assert set(FIGURES) == set(TABLES) == set(ROWS)


@pytest.mark.parametrize("table", TABLES)
def test_figures_are_those_printed(table: str) -> None:
    for designation, figures in FIGURES[table].items():
        for column, printed in figures.items():
            value, _, _ = cell(table, designation, column)
            assert value == pytest.approx(printed, abs=1e-4), (designation, column)


@pytest.mark.parametrize("table", STRENGTHS)
def test_strength_and_mass(table: str) -> None:
    designation, strength, mass = STRENGTHS[table]
    catalog = load_table(table)
    row = catalog.row(designation)
    assert catalog.tensile_kn[row] == strength
    assert catalog.mass_kg_per_m[row] == pytest.approx(mass, nan_ok=True)


@pytest.mark.parametrize("table", TABLES)
def test_no_row_is_lost(table: str) -> None:
    assert len(load_table(table)) == ROWS[table]


def test_cells_that_no_source_gives_stay_empty() -> None:
    # 084 is only named in ISO 606:1994; the 180H transverse pitch is contradictory; ISO 1977 MC flanges not remembered
    assert load_table("iso606_b").dimensions_of(load_table("iso606_b").row("084")) == {}
    assert math.isnan(cell("iso606_a", "180H-2", "transverse_pitch")[0])
    assert math.isnan(cell("iso1977_mc", "MC28x63 flanged roller", "flange_diameter")[0])
    assert math.isnan(cell("din8165_fv", "FV112", "pitch")[0])


@pytest.mark.parametrize(
    ("table", "designation", "column", "limit"),
    [
        # ISO 606:1994 Table 1, column heads
        ("iso606_a", "08A-1", "pitch", Limit.NOMINAL),
        ("iso606_a", "08A-1", "roller_diameter", Limit.MAXIMUM),
        ("iso606_a", "08A-1", "inner_width", Limit.MINIMUM),
        ("iso606_a", "08A-1", "bush_bore", Limit.MINIMUM),
        ("iso606_a", "08A-1", "outer_link_inner_width", Limit.MINIMUM),
        ("iso606_a", "04C-1", "bush_diameter", Limit.MAXIMUM),
        ("iso606_a", "08A-1", "inner_plate_thickness", Limit.NOMINAL),  # ASME B29.1M
        ("iso606_b", "16B-1", "inner_plate_thickness", Limit.MAXIMUM),  # public print 1
        # ASME/ANSI B29.1M: W and pin nominal, roller maximum, bore by rule minimum
        ("ansi_b29_1", "40", "inner_width", Limit.NOMINAL),
        ("ansi_b29_1", "40", "roller_diameter", Limit.MAXIMUM),
        ("ansi_b29_1", "40", "bush_bore", Limit.MINIMUM),
        # GOST 13568-97: not less than, not more than
        ("gost13568", "ПРИ-78.1-360", "inner_width", Limit.MINIMUM),
        ("gost13568", "ПРИ-78.1-360", "sidebar_height", Limit.MAXIMUM),
        ("gost13568", "ПРИ-78.1-360", "roller_diameter", Limit.NOMINAL),
        # ISO 1275: transmission rows have b4, conveyor rows lengths as made
        ("iso1275", "208A", "pin_length", Limit.MAXIMUM),
        ("iso1275", "C208A", "pin_length", Limit.NOMINAL),
        ("iso1275", "208B", "sidebar_height", Limit.NOMINAL),
        # DIN 8167-1 print B: bush maximum, bore minimum, rollers without a word
        ("iso1977_m", "M112x160", "bush_diameter", Limit.MAXIMUM),
        ("iso1977_m", "M112x160", "bush_bore", Limit.MINIMUM),
        ("iso1977_m", "M112x160 large roller", "roller_diameter", Limit.NOMINAL),
        ("iso1977_mc", "MC28x63 large roller", "roller_diameter", Limit.MAXIMUM),
        # agricultural print: L max on the A and CA pages, no word on the S page
        ("agricultural", "CA550", "pin_length", Limit.MAXIMUM),
        ("agricultural", "A620", "pin_length", Limit.MAXIMUM),
        ("agricultural", "S55", "pin_length", Limit.NOMINAL),
        # leaf: BL8 pins nominal 0.375 in, all others maxima
        ("leaf", "LH1622", "pin_diameter", Limit.NOMINAL),
        ("leaf", "LH1222", "pin_diameter", Limit.MAXIMUM),
        ("leaf", "LH1622", "bush_bore", Limit.MINIMUM),
    ],
)
def test_what_a_figure_says(table: str, designation: str, column: str, limit: Limit) -> None:
    assert cell(table, designation, column)[1] is limit


@pytest.mark.parametrize(
    ("table", "designation", "column", "trust"),
    [
        # columns that agree in two prints; the rest of the row rests on one
        ("iso606_a", "08A-1", "roller_diameter", Trust.TWO_SOURCES),
        ("iso606_a", "08A-1", "inner_plate_height", Trust.ONE_SOURCE),
        ("iso606_a", "10A-1", "inner_plate_height", Trust.TWO_SOURCES),
        ("iso606_a", "08A-2", "pin_length", Trust.ONE_SOURCE),
        ("iso606_a", "04C-1", "pitch", Trust.ONE_SOURCE),  # the row counts as one source
        ("iso606_b", "03B-1", "pitch", Trust.ONE_SOURCE),
        ("ansi_b29_1", "40", "pitch", Trust.TWO_SOURCES),
        ("ansi_b29_1", "40", "pin_diameter", Trust.ONE_SOURCE),
        ("gost13568", "ПВ-9.525-11.5", "pin_diameter", Trust.ONE_SOURCE),
        ("iso1275", "C210BL", "roller_diameter", Trust.MEMORY),
        ("iso1275", "208B", "pin_length", Trust.ONE_SOURCE),  # 16.6 printed, b4 of the base chain is 17.0
        # M112 pitch 400 stands in one of the two prints
        ("iso1977_m", "M112x315", "pitch", Trust.TWO_SOURCES),
        ("iso1977_m", "M112x400", "pitch", Trust.ONE_SOURCE),
        ("iso1977_m", "M112x400 flanged roller", "flange_diameter", Trust.TWO_SOURCES),
        ("iso1977_m", "M112x400", "pin_length", Trust.ONE_SOURCE),
        ("iso1977_m", "M20x40", "inner_plate_thickness", Trust.ONE_SOURCE),
        ("iso1977_m", "M28x50", "inner_plate_thickness", Trust.TWO_SOURCES),
        ("iso1977_mc", "MC28x63", "pitch", Trust.MEMORY),
        ("welded_mill", "W124", "pin_diameter", Trust.TWO_SOURCES),
        ("welded_mill", "W124", "pin_length", Trust.ONE_SOURCE),
        ("welded_mill", "W88", "pitch", Trust.MEMORY),
        ("h_type_mill", "CS720S", "pin_diameter", Trust.ONE_SOURCE),
        ("h_type_mill", "H78", "pin_diameter", Trust.MEMORY),
        ("leaf", "LH0822", "pin_diameter", Trust.TWO_SOURCES),
        ("leaf", "LH0822", "bush_bore", Trust.ONE_SOURCE),
        ("leaf", "LH1622", "inner_plate_thickness", Trust.ONE_SOURCE),
        ("leaf", "LH2022", "pin_diameter", Trust.MEMORY),
        ("leaf", "LH2022", "pin_length", Trust.ONE_SOURCE),
        ("leaf", "LL1022", "inner_plate_height", Trust.MEMORY),
        ("flat_top", "C13S", "pin_length", Trust.ONE_SOURCE),
    ],
)
def test_how_well_a_figure_is_known(table: str, designation: str, column: str, trust: Trust) -> None:
    assert cell(table, designation, column)[2] is trust
