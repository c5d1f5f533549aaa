"""Conveyor pull against published worked examples; the source and its tolerance stand beside each check."""

import math

import pytest

from chaincase.duty import beam, carrying, conveyor, factors, friction, pressure
from chaincase.duty.pull import Straight, Turn, tensions

G = 9.81


def test_material_carried_on_a_level_conveyor():
    """Independent public table, worked horizontal modular belt: 60 and 8.6 kg/m2, friction 0.12, 30 m: 278 kg/m."""
    back = Straight(30_000.0, chain=8.6, friction=0.12)
    carry = Straight(30_000.0, chain=8.6, carried=60.0, friction=0.12)
    assert float(tensions([back, carry]).head) / G == pytest.approx(278, abs=0.5)
    assert float(tensions([back, carry]).head) / G == pytest.approx(277.92, abs=1e-9)


def test_load_of_the_shaft():
    """The same example: (278 + 11.48) kg/m x 0.6 m = 173.7 kg, printed digits."""
    assert conveyor.shaft_load(278 * 0.6, 0.0, 11.48 * 0.6) == pytest.approx(173.7, abs=0.05)


def test_skirtboards():
    """CEMA skirtboard formula with the numbers of a public worksheet: Cs 0.018, 10 ft, 10 in: 78.0 lbf, exact."""
    assert carrying.skirt_drag(254.0, 0.018) * 3.048 / 4.4482216152605 == pytest.approx(78.0, rel=1e-9)


def test_material_on_a_drag_conveyor():
    """Public worksheet for drag chain: 20 t/h, 4.8 m/min, 20 m: 1391.667 kg with 16.7 for 1000/60, 1e-6."""
    kg = carrying.material_mass(20 / 3.6, 4.8 / 60) * 20
    assert kg * 16.7 / (1000 / 60) == pytest.approx(1391.667, rel=1e-6)
    assert kg == pytest.approx(1388.889, rel=1e-6)


def test_strength_of_a_drag_chain():
    """The same worksheet: 1476.81 kg x 8 x 1.4 x 1.2 on one strand, printed 19848.28, 1e-5 (its pull is rounded)."""
    assert factors.required_strength(1476.81, 8.0, 1.4, 1.2) == pytest.approx(19848.28, rel=1e-5)


def test_hanging_strand_with_a_sag():
    """Engineering Mechanics, Ex. 10.4: 0.5 kg/m, 30 m, sag 0.5 m: 1106.07 N, 3.814°, 30.02 m; 1e-6."""
    end = carrying.hanging_tension(0.5, 30_000.0, 500.0)
    assert end == pytest.approx(1106.074781, rel=1e-6)
    assert math.degrees(math.asin(0.5 * G * 15.0 / end)) == pytest.approx(3.814075, rel=1e-6)
    assert carrying.hanging_length(30_000.0, 500.0) / 1000 == pytest.approx(30.022222, rel=1e-6)


def test_hanging_strand_with_a_tension():
    """Engineering Mechanics, Ex. 10.5: 3 N/m, 30 m, 400 N: sag 0.849141 m, 1e-6."""
    assert carrying.hanging_sag(3.0 / G, 30_000.0, 400.0) / 1000 == pytest.approx(0.849141, rel=1e-6)


def test_true_catenary():
    """Engineering Mechanics, Ex. 10.6: 200 m, sag 50 m: c = 75 m, span 164.791843 m, 1e-6."""
    c, span = carrying.catenary(200_000.0, 50_000.0)
    assert c / 1000 == pytest.approx(75.0, rel=1e-6)
    assert span / 1000 == pytest.approx(164.791843, rel=1e-6)


def test_flow_of_a_belt():
    """Industrial Instrumentation, ch. 5: 165 kg on 16 m at 328 m/min: 3382.5 kg/min."""
    assert carrying.material_flow(165.0, 16_000.0, 328 / 60) * 60 == pytest.approx(3382.5, rel=1e-12)


def test_capacity_of_an_elevator():
    """Open lecture notes on material handling: 2 l, 3 per m, 750 kg/m3, 60 m/min: 16.2 t/h, exact."""
    assert carrying.bucket_mass(2.0, 3.0, 750.0) * 60 * 60 / 1000 == pytest.approx(16.2, rel=1e-12)


def test_power_of_an_elevator():
    """The same notes: 20 t/h, 15 m, efficiency 0.7: 1.17 kW, printed digits."""
    assert carrying.lifting_power(20 / 3.6, 15_000.0, 0.7) / 1000 == pytest.approx(1.17, abs=0.005)


@pytest.mark.parametrize("rise", [0.0, 0.5, 1.9, 2.1, 6.0])
def test_two_branch_rule_of_inclines(rise: float):
    """Public engineering tables: the return counts in full while its rise is less than friction, and not beyond.

    10 m along, chain 20 kg/m, material 30 kg/m, friction 0.2, factor 1.1 on the return (two sources).
    """
    length, level = 10.0, math.sqrt(100.0 - rise**2)
    back = Straight(10_000.0, -math.degrees(math.asin(rise / length)), chain=20.0, friction=0.2)
    carry = Straight(10_000.0, math.degrees(math.asin(rise / length)), chain=20.0, carried=30.0, friction=0.2)
    loop = tensions([back, Turn(loss=0.1), carry])
    down = G * 20.0 * (0.2 * level - rise)
    assert float(loop.head) == pytest.approx(G * 50.0 * (0.2 * level + rise) + 1.1 * max(down, 0.0), rel=1e-12)
    assert float(loop.held_back) == pytest.approx(max(-down, 0.0), abs=1e-9)


def test_level_conveyor_in_one_line():
    """Public engineering tables, friction alike on both runs: g (mm + 2.1 mc) f L."""
    path = [Straight(25_000.0, chain=18.0, friction=0.15), Turn(loss=0.1)]
    path.append(Straight(25_000.0, chain=18.0, carried=42.0, friction=0.15))
    assert float(tensions(path).head) == pytest.approx(G * (42.0 + 2.1 * 18.0) * 0.15 * 25.0, rel=1e-12)


def test_drag_conveyor_in_one_line():
    """Public engineering table C without walls and turn: (2 k1 mc + k2 mm) L."""
    back = Straight(20_000.0, chain=19.92, friction=0.4)
    push = Straight(20_000.0, chain=19.92, dragged=69.58, friction=0.4, material_friction=0.46)
    expected = G * (2 * 0.4 * 19.92 + 0.46 * 69.58) * 20.0
    assert float(tensions([back, push]).head) == pytest.approx(expected, rel=1e-12)


def test_bucket_elevator():
    """Public engineering table D: the head carries (mc + mm) g H and the boot pull; power lifts the material only."""
    boot = carrying.boot_pull(12.0, 600.0, "centrifugal fine")
    assert boot == pytest.approx(G * 12.0 * 0.6 * 0.67, rel=1e-12)
    path = [Straight(15_000.0, -90.0, chain=30.0), Turn(180.0, extra=boot)]
    path.append(Straight(15_000.0, 90.0, chain=30.0, carried=12.0))
    loop = tensions(path)
    assert float(loop.head) == pytest.approx(G * 42.0 * 15.0 + boot, rel=1e-9)
    assert float(loop.effective) == pytest.approx(G * 12.0 * 15.0 + boot, rel=1e-9)
    assert float(loop.slack) == pytest.approx(G * 30.0 * 15.0, rel=1e-9)


def test_bend_is_a_rope_on_a_drum():
    """Statics (capstan): half a turn with friction 0.2 multiplies by exp(0.2 pi)."""
    loop = tensions([Turn(180.0, 0.2)], slack=1000.0)
    assert float(loop.head) == pytest.approx(1000.0 * math.exp(0.2 * math.pi), rel=1e-12)


def test_parabola_is_near_the_catenary_up_to_a_tenth_of_the_span():
    """The true catenary as reference (statics): end tension w (c + sag)."""
    length = 1200.0
    for share in (0.02, 0.05, 0.1):
        sag = next(
            s for s in (length * k / 20_000 for k in range(1, 10_000)) if s / carrying.catenary(length, s)[1] > share
        )
        c, span = carrying.catenary(length, sag)
        true = 4.0 * G * (c + sag) / 1000
        assert carrying.hanging_tension(4.0, span, sag) == pytest.approx(true, rel=0.02)


def test_factors_of_the_tables():
    """Public engineering tables: speed B, safety E, strands D, all printed steps; share of the strength: a guide."""
    feet = [factors.speed_factor(v * 0.00508)[0] for v in (50, 51, 100, 160, 230, 300, 360, 400)]
    assert feet == [1.0, 1.2, 1.2, 1.4, 1.6, 2.2, 2.8, 3.2]
    assert [factors.safety_factor(v / 60)[0] for v in (29, 30, 40, 50, 60)] == [7, 7, 8, 9, 10]
    assert factors.speed_factor(401 * 0.00508)[1]
    assert factors.safety_factor(61 / 60)[1]
    assert factors.strand_share(2) == 0.6
    assert pressure.SHARES[0].most == 0.5
    assert pressure.SHARES[1].most == pytest.approx(1 / 6)


def test_friction_of_the_tables():
    """Public engineering tables A and B as printed; rolling f = C d/D + b/D (A)."""
    read = {
        name: friction.on_track(name).value for name in ("steel, dry", "rough steel, lubricated", "top roller, dry")
    }
    assert read == {"steel, dry": 0.35, "rough steel, lubricated": 0.25, "top roller, dry": 0.09}
    assert friction.rolling(25.0, 75.0, 0.25, "rough").value == pytest.approx(0.25 / 3 + 2 / 75)
    assert friction.in_trough("sand, clay or limestone, wet") == friction.BulkMaterial(0.85, 3)


def test_beams():
    """Statics, any table of beams: F L, F L/2, F L/4, F L/8 and 1/3, 1/8, 1/48, 5/384 of F L3/(E I)."""
    section = beam.Section.flat(50.0, 12.0)
    flat = {case: beam.bending(800.0, 120.0, section, case) for case in beam._CASES}
    unit, bend = 800.0 * 120.0, 800.0 * 120.0**3 / (beam.STEEL * 50.0 * 12.0**3 / 12)
    assert [flat[case].moment / unit for case in flat] == pytest.approx([1, 1 / 2, 1 / 4, 1 / 8])
    assert [flat[case].deflection / bend for case in flat] == pytest.approx([1 / 3, 1 / 8, 1 / 48, 5 / 384])
    assert flat["cantilever, end"].stress == pytest.approx(6 * unit / (50.0 * 12.0**2))
