"""Chain drives against published worked examples; the source and its tolerance stand beside each check.

Design of Machine Elements, ch. 14, read in an open companion that recomputes the printed
examples. SM: solutions manual to Mechanical Engineering Design, ch. 17.
"""

import math

import pytest

from chaincase.duty import rating, rating_tables
from chaincase.duty.chordal import chain_speed
from chaincase.duty.lubrication import lubrication
from chaincase.duty.pressure import factor_of_safety
from chaincase.duty.rating import HP

LBF = 4.4482216152605
FT_PER_MIN = 0.00508


def test_design_of_machine_elements_14_1():
    """12A, 17 teeth, 1000 rev/min, 14.32 kW, 31 100 N: factor of safety 11.722224, 1e-6."""
    pull = rating.tension(14_320.0, chain_speed(19.05, 17, 1000))
    assert factor_of_safety(31_100.0, pull) == pytest.approx(11.722224, rel=1e-6)


def test_design_of_machine_elements_14_2():
    """30 kW, efficiency 90 %, Ks 1.4, four strands 3.3: rating needed 11.454545 kW, 1e-6."""
    needed = rating.required_rating(30_000.0 * 0.9, 1.4, rating.strand_factor(4))
    assert needed / 1000 == pytest.approx(11.454545, rel=1e-6)


def test_design_of_machine_elements_14_3():
    """5 kW, Ks 1.3, K2 1.26: 5.15873 kW, 1e-6."""
    assert rating.required_rating(5000.0, 1.3, tooth=1.26) / 1000 == pytest.approx(5.15873, rel=1e-6)


def test_design_of_machine_elements_14_4():
    """12 kW, Ks 1.3: 15.6 kW, exact."""
    assert rating.required_rating(12_000.0, 1.3) == pytest.approx(15_600.0, rel=1e-12)


def test_design_of_machine_elements_14_6():
    """10 kW, Ks 1.4, K2 1.26: 11.111111 kW; with four strands 3.367003 kW; 1e-6."""
    assert rating.required_rating(10_000.0, 1.4, tooth=1.26) / 1000 == pytest.approx(11.111111, rel=1e-6)
    four = rating.required_rating(10_000.0, 1.4, rating.strand_factor(4), 1.26)
    assert four / 1000 == pytest.approx(3.367003, rel=1e-6)


def test_design_of_machine_elements_14_7():
    """10B, 19 teeth, 1400 rev/min, 11.67 kW x K2 1.11, 22 200 N: 12.9537 kW, 1840.558878 N, 12.061554; 1e-6."""
    allowed = 11_670.0 / rating.required_rating(1.0, tooth=1.11)
    pull = rating.tension(allowed, chain_speed(15.875, 19, 1400))
    assert allowed / 1000 == pytest.approx(12.9537, rel=1e-6)
    assert pull == pytest.approx(1840.558878, rel=1e-6)
    assert factor_of_safety(22_200.0, pull) == pytest.approx(12.061554, rel=1e-6)


def test_analysis_and_design_of_machine_elements_7():
    """Analysis and Design of Machine Elements, p. 162: 10 kW, KA 1.5, 21 teeth: Kz 0.9, 13.5 kW; 0.05."""
    assert rating.tooth_factor(21) == pytest.approx(0.9, abs=0.05)
    assert rating.required_rating(10_000.0, 1.5) * rating.tooth_factor(21) / 1000 == pytest.approx(13.5, abs=0.05)


def test_sm_17_26():
    """No. 40-4, 21 teeth, 2000 rev/min, 7.72 hp for 15 000 h: printed digits at 20 000 h."""
    const = 7.72**2.5 * 15_000 / 135
    longer = rating.for_life(7.72 * HP, 20_000.0) / HP
    assert const == pytest.approx(18_399, abs=0.5)
    assert longer**2.5 * 20_000 / 135 == pytest.approx(const, rel=1e-9)
    assert longer == pytest.approx(6.88, abs=0.005)
    assert rating.impact_tooth_factor(21) == pytest.approx(1.37, abs=0.005)
    allowed = 1.37 * rating.strand_factor(4) * 6.88
    assert allowed == pytest.approx(31.1, abs=0.05)
    speed = chain_speed(12.7, 21, 2000)
    assert speed / FT_PER_MIN == pytest.approx(1750, rel=1e-9)
    assert rating.tension(31.1 * HP, speed) / LBF == pytest.approx(586, abs=0.5)


def test_machine_elements_in_mechanical_design_7_3():
    """Machine Elements in Mechanical Design, Ex. 7-3 p. 295: 21.0 hp on four strands: 6.36 hp."""
    assert rating.required_rating(21.0 * HP, strands=rating.strand_factor(4)) / HP == pytest.approx(6.36, abs=0.005)


def test_machine_design_30_3():
    """Machine Design, Ex. 30-3: 2.03 kW x 1.26, 21 teeth, 9.52 mm, 1000 rev/min; printed digits."""
    power = 2030.0 * 1.26
    speed = chain_speed(9.52, 21, 1000)
    assert power / 1000 == pytest.approx(2.56, abs=0.005)
    assert speed == pytest.approx(3.332, abs=0.0005)
    assert rating.tension(power, speed) == pytest.approx(767.6, abs=0.05)
    assert factor_of_safety(10_700.0, rating.tension(power, speed)) == pytest.approx(13.94, abs=0.005)


def test_machine_design_14_4():
    """Machine Design (another book of that name), Ex. 14.4 p. 321: 12 teeth, 1800 rev/min, 5.31 hp; printed digits.

    The book goes by torque with 63 000 for 63 025 and a pitch diameter of z p/pi, hence 126 000 pi for 396 000.
    """
    speed = chain_speed(12.7, 12, 1800)
    assert speed / FT_PER_MIN == pytest.approx(900.0, rel=1e-9)
    pounds = rating.tension(5.31 * HP, speed) / LBF
    assert pounds == pytest.approx(194.70, abs=0.005)
    assert pounds * 126_000 * math.pi / 396_000 == pytest.approx(194.62, abs=0.005)


NO25 = {
    (11, 4000): 1.38,
    (11, 4500): 1.16,
    (17, 4000): 2.65,
    (17, 4500): 2.22,
    (20, 4500): 2.83,
    (25, 4500): 3.96,
    (28, 4500): 4.70,
}
"""Public reprint of the horsepower table of ASME B29.1-2011, No. 25 [hp]."""


@pytest.mark.parametrize("cell", NO25)
def test_impact_equation_against_the_table(cell: tuple[int, int]):
    """0.006 hp; beyond the crest equation and table agree."""
    assert rating.roller_impact(25, *cell) / HP == pytest.approx(NO25[cell], abs=0.006)
    assert rating_tables.no25_power(*cell).power / HP == pytest.approx(NO25[cell], rel=1e-9)


def test_packaged_no25_table_as_printed():
    """The same reprint, cells re-typed from it; all 34 at 4000 and 4500 rev/min agree with the equation."""
    retyped = {(11, 50): 0.03, (13, 365): 0.26, (17, 900): 0.82, (19, 1800): 1.78, (24, 3000): 3.68, (28, 3500): 4.98}
    for (teeth, rpm), hp in retyped.items():
        assert rating_tables.no25_power(teeth, rpm).power / HP == pytest.approx(hp, rel=1e-9)
    table = rating_tables.grid("no25_power")
    assert (len(table.rows), len(table.columns)) == (17, 16)
    for row, teeth in enumerate(table.rows):
        for column in (14, 15):
            equation = rating.roller_impact(25, teeth, table.columns[column]) / HP
            assert table.cells[row][column] == pytest.approx(equation, abs=0.006)


def test_editions_do_not_agree_and_the_answer_says_which():
    """No. 25, 17 teeth, 900 rev/min: the 2011 table has 0.82 hp, the older link plate equation 0.62 hp."""
    assert rating.plate_fatigue(25, 17, 900) / HP == pytest.approx(0.6225, abs=0.0005)
    assert "2011" in rating_tables.no25_power(17, 900).edition
    assert "older editions" in rating.by_equation(25, 17, 900).edition


def test_impact_equation_against_the_textbook_table():
    """SM prob. 17-26 reads 7.72 hp for No. 40, 17 teeth, 2000 rev/min; the equation is 0.9 % lower, cause unknown."""
    assert rating.roller_impact(40, 17, 2000) / HP == pytest.approx(7.72, rel=0.01)


def test_offset_speed_factor_as_printed():
    """Independent public table, engineering-class offset-sidebar chain; cells re-typed."""
    retyped = {(6, 10): 0.917, (6, 300): 16.7, (9, 400): 2.56, (12, 100): 0.990, (16, 500): 1.48, (24, 1000): 1.84}
    for (teeth, feet), factor in retyped.items():
        assert rating_tables.offset_speed_factor(teeth, feet * FT_PER_MIN)[0] == pytest.approx(factor, rel=1e-9)
    assert "misprint" in rating_tables.offset_speed_factor(9, 450 * FT_PER_MIN)[1]
    assert rating_tables.offset_speed_factor(10, 450 * FT_PER_MIN)[1] == ""


def test_offset_power_in_the_units_of_its_source():
    """HP = WL p T R / (396 000 Fs): 9000 lbf, 6 in, 12 teeth, 16.667 rev/min (100 ft/min), Fs 0.990."""
    power, factor, doubt = rating_tables.offset_power(9000 * LBF, 152.4, 12, 100 * 12 / (12 * 6))
    assert factor == pytest.approx(0.990, rel=1e-9)
    assert power / HP == pytest.approx(9000 * 6 * 12 * (100 / 6) / (396_000 * 0.990), rel=1e-9)
    assert doubt == ""


def test_factors_of_the_tables():
    """ISO 10823 f1 (two secondary texts) and American strand factors: cells re-typed."""
    assert rating.application_factor("smooth", "moderate shock") == 1.3
    assert rating.application_factor("heavy shock", "smooth") == 1.8
    assert [rating.strand_factor(n) for n in (1, 2, 3, 4, 5, 6, 8)] == [1.0, 1.7, 2.5, 3.3, 3.9, 4.6, 6.0]


def test_tooth_factors_of_an_older_table():
    """Design of Machine Elements, table 14.5: 1.11 at 19 and 1.26 at 21 teeth over 17; power law 1.128, 1.256."""
    assert 1 / rating.tooth_factor(21, 17) == pytest.approx(1.26, abs=0.005)
    assert 1 / rating.tooth_factor(19, 17) == pytest.approx(1.11, abs=0.02)


def test_least_tensile_strength():
    """ASME B29.1: 12 500 p2 lbf; the packaged figure of 16A-1 (ANSI 80) is 55.6 kN."""
    assert rating.least_tensile(25.4) / 1000 == pytest.approx(55.6, abs=0.05)


def test_oiling_as_printed():
    """Public engineering text: No. 40 by hand to 300 ft/min and in a bath to 2300, No. 160 to 100 and 1000."""
    words = [lubrication(n, v * FT_PER_MIN) for n, v in ((40, 299), (40, 301), (40, 2301), (160, 101), (160, 1001))]
    assert words == [
        "by hand or drip",
        "oil bath or slinger disk",
        "oil stream by pump",
        "oil bath or slinger disk",
        "oil stream by pump",
    ]
