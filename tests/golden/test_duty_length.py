"""Chain lengths against published worked examples, and against general-purpose geometry.

Every example is retyped from its source; the tolerance is that of the printed digits. The sources round the number
of pitches in different ways, so the chosen number is taken from the example and only the centers are checked.
"""

import math

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from chaincase.duty import length as over
from chaincase.duty.length_answer import Drive, chain_length
from chaincase.duty.sprocket import pitch_diameter


def test_design_of_machine_elements_14_3():
    """Design of Machine Elements, ch. 14, ex. 14.3; 1e-5."""
    assert over.standard_pitches(500 / 12.7, 21, 63) == pytest.approx(121.875097, rel=1e-5)
    assert over.standard_centers(122, 21, 63) * 12.7 == pytest.approx(500.804717, rel=1e-5)
    assert chain_length(Drive(12.7, (21, 63), 500.0))["pitches"] == 122


def test_design_of_machine_elements_14_4():
    """Design of Machine Elements, ch. 14, ex. 14.4; 1e-6; the shafts are set 0.2 % closer."""
    p, z1, z2 = 19.05, 17, 34
    assert pitch_diameter(p, z1) == pytest.approx(103.673741, rel=1e-6)
    assert pitch_diameter(p, z2) == pytest.approx(206.462975, rel=1e-6)
    assert over.standard_pitches(40, z1, z2) == pytest.approx(105.683011, rel=1e-6)
    assert over.standard_centers(106, z1, z2) * p * (1 - 0.002) == pytest.approx(763.49616, rel=1e-6)
    answer = chain_length(Drive(p, (z1, z2), 40 * p, slack=0.002))
    assert answer["pitches"] == 106
    assert answer.number("centers_slack_mm") == pytest.approx(763.49616, abs=0.05)  # exact geometry, not the sum


def test_design_of_machine_elements_14_6():
    """Design of Machine Elements, ch. 14, ex. 14.6, normal design; 1e-6; it rounds down to even."""
    p, z1, z2 = 19.05, 21, 80
    assert pitch_diameter(p, z1) == pytest.approx(127.816092, rel=1e-6)
    assert pitch_diameter(p, z2) == pytest.approx(485.228971, rel=1e-6)
    assert over.standard_pitches(40, z1, z2) == pytest.approx(132.704369, rel=1e-6)
    assert over.standard_centers(132, z1, z2) * p == pytest.approx(755.098993, rel=1e-6)


def test_design_of_machine_elements_14_6_alternate():
    """Design of Machine Elements, ch. 14, ex. 14.6, alternate design; 1e-6; centers of 30 pitches inferred."""
    assert over.standard_pitches(30, 25, 96) == pytest.approx(124.756334, rel=1e-6)
    assert over.standard_centers(124, 25, 96) * 12.7 == pytest.approx(375.825124, rel=1e-6)


def test_analysis_and_design_of_machine_elements_7():
    """Analysis and Design of Machine Elements (2019), ch. 7, p. 162; printed digits; 0.4 % slack."""
    assert over.standard_pitches(40, 21, 81) == pytest.approx(133.3, abs=0.05)
    centers = over.standard_centers(134, 21, 81) * 25.4
    assert centers == pytest.approx(1025.4, abs=0.05)
    assert centers * (1 - 0.004) == pytest.approx(1021, abs=0.5)
    assert chain_length(Drive(25.4, (21, 81), 40 * 25.4))["pitches"] == 134


def test_mechanical_engineering_design_17_26():
    """Mechanical Engineering Design, solutions, ch. 17, p. 443: rounds 135.01 to the nearest, odd kept."""
    exact = over.standard_pitches(20 / 0.5, 21, 84)
    assert exact == pytest.approx(135, abs=0.5)
    assert round(exact) * 0.5 == pytest.approx(67.5, abs=0.05)


def test_mechanical_engineering_design_p446():
    """Mechanical Engineering Design, solutions, ch. 17, p. 446; printed digits; rounds up to even."""
    assert over.standard_pitches(40, 19, 38) == pytest.approx(108.7, abs=0.05)
    assert over.standard_centers(110, 19, 38) == pytest.approx(40.64, abs=0.005)
    assert chain_length(Drive(25.4, (19, 38), 40 * 25.4))["pitches"] == 110


def test_machine_elements_in_mechanical_design_7_3():
    """Machine Elements in Mechanical Design, 4th ed., ex. 7-3, p. 295; printed digits; rounds up to even."""
    assert pitch_diameter(0.5, 17) == pytest.approx(2.721, abs=0.0005)
    assert pitch_diameter(0.5, 65) == pytest.approx(10.349, abs=0.0005)
    assert over.standard_pitches(30, 17, 65) == pytest.approx(102.9, abs=0.05)
    assert over.standard_centers(104, 17, 65) == pytest.approx(30.54, abs=0.005)
    assert over.standard_centers(104, 17, 65) * 0.5 == pytest.approx(15.272, abs=0.0005)
    answer = chain_length(Drive(12.7, (17, 65), 30 * 12.7))
    assert answer["pitches"] == 104
    assert answer.number("chain_length_mm") / 25.4 == pytest.approx(52.0, abs=1e-9)


def test_a_course_notebook():
    """Machine design course notebook, 35 and 70 teeth, 1 in; printed digits; its wrap angles are not used."""
    assert pitch_diameter(1.0, 35) == pytest.approx(11.16, abs=0.005)
    assert pitch_diameter(1.0, 70) == pytest.approx(22.29, abs=0.005)
    assert over.standard_centers(134, 35, 70) == pytest.approx(40.366, abs=0.0005)
    assert chain_length(Drive(25.4, (35, 70), 40 * 25.4))["pitches"] == 134


def test_theory_of_machines_11_23():
    """Theory of Machines, ex. 11.23, p. 376: 240 and 120 rev/min, a 800 mm, cosecant form; printed digits."""
    z1 = 20
    z2 = z1 * 240 / 120
    p = 600 * math.sin(math.pi / z2)
    assert z2 == 40
    assert p == pytest.approx(47.1, abs=0.05)
    assert over.cosecant_pitches(800 / p, z1, z2) * p / 1000 == pytest.approx(3.0402, abs=0.00005)


def test_machine_design_30_1():
    """Machine Design, ch. 30, ex. 30-1, p. 778: the centers come back from the un-rounded length."""
    exact = over.standard_pitches(300 / 9.52, 17, 51)
    assert exact == pytest.approx(97.954, abs=0.0005)
    assert over.standard_centers(exact, 17, 51) * 9.52 == pytest.approx(300.0, abs=0.005)


def test_machine_design_30_3():
    """Machine Design, ch. 30, ex. 30-3, p. 779: un-rounded length times pitch; 0.01 mm."""
    assert over.standard_pitches(50, 21, 42) * 9.52 == pytest.approx(1254.01, abs=0.01)


def test_machine_design_30_5():
    """Machine Design, ch. 30, ex. 30-5, p. 780: un-rounded length times pitch; 0.01 mm."""
    assert over.standard_pitches(40, 17, 34) * 15.88 == pytest.approx(1678.25, abs=0.01)


def test_the_factor_of_iso_10823():
    """ISO 10823 factor table at (X - z1)/(z2 - z1) = 2.00 is 0.24421 (from memory); 1e-5."""
    assert over.center_factor(20 + 2 * 30, 20, 50) == pytest.approx(0.24421, abs=1e-5)
    assert over.center_factor(100, 25, 25) == 0.25


@pytest.mark.parametrize(("centers", "z1", "z2"), [(39.37, 21, 63), (40, 17, 34), (30, 25, 96), (15, 11, 17)])
def test_the_arc_form_is_the_hull_of_two_circles(centers: float, z1: int, z2: int):
    """A taut belt is the convex hull of both circles: scipy.spatial.ConvexHull over dense points; 1e-6 relative."""
    turns = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    circle = np.column_stack([np.cos(turns), np.sin(turns)])
    r1, r2 = pitch_diameter(1.0, z1) / 2, pitch_diameter(1.0, z2) / 2
    hull = ConvexHull(np.vstack([circle * r1, circle * r2 + [centers, 0.0]]))
    assert over.arc_pitches(centers, z1, z2) == pytest.approx(hull.area, rel=1e-6)  # in a plane, area is the outline


def test_two_equal_sprockets():
    """Printed conveyor form: twice the centers in pitches, and the teeth of one wheel."""
    assert over.exact_pitches(50, 12, 12) == pytest.approx(2 * 50 + 12, abs=1e-12)
    assert over.standard_pitches(50, 12, 12) == 2 * 50 + 12
