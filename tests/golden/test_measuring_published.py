"""Measuring against published figures and hand calculations; the source stands beside each check."""

import math

import pytest
from scipy import stats

from chaincase.measuring.instruments import (
    Instrument,
    caliper_limit_mm,
    digital_caliper_limit_mm,
    gauge_limit_mm,
    limit_mm,
    tape_limit_mm,
)
from chaincase.measuring.uncertainty import (
    Component,
    Distribution,
    combine,
    expanded,
    from_bound,
    from_certificate,
    from_step,
    mean_of,
    propagate,
    student_factor,
    welch_satterthwaite,
)


class TestTapes:
    """OIML R 35-1 and directive 2014/32/EU annex MI-008, chapter I: ± (a + b L), c more for a surface end."""

    @pytest.mark.parametrize(
        ("length_mm", "grade", "surface_end", "limit"),
        [
            (2300.0, "II", False, 0.9),
            (2300.0, "II", True, 1.1),
            (1000.0, "I", False, 0.2),
            (1000.0, "II", False, 0.5),
            (1000.0, "III", False, 1.0),
            (1000.1, "I", False, 0.3),
            (20.0, "I", True, 0.3),
            (5000.0, "III", True, 2.9),
        ],
    )
    def test_limit(self, length_mm: float, grade: str, surface_end: bool, limit: float) -> None:
        assert tape_limit_mm(length_mm, grade, surface_end=surface_end) == pytest.approx(limit, abs=1e-12)

    def test_a_product_of_unit_conversion_does_not_cost_a_meter(self) -> None:
        assert tape_limit_mm(1000.0000000000001, "II") == tape_limit_mm(1000.0, "II")


class TestCalipers:
    """DIN 862, error limits G in µm as printed on a public sheet of the standard's table."""

    @pytest.mark.parametrize(
        ("length_mm", "micrometers"),
        [
            (50, 50),
            (100, 50),
            (200, 50),
            (300, 50),
            (400, 60),
            (500, 70),
            (600, 80),
            (700, 90),
            (800, 100),
            (900, 110),
            (1000, 120),
            (1200, 140),
            (1400, 160),
            (1600, 180),
            (1800, 200),
            (2000, 220),
        ],
    )
    def test_vernier(self, length_mm: int, micrometers: int) -> None:
        assert caliper_limit_mm(float(length_mm)) * 1000 == pytest.approx(micrometers, abs=1e-9)

    @pytest.mark.parametrize(
        ("length_mm", "micrometers"), [(50, 20), (100, 20), (300, 30), (400, 30), (800, 40), (1200, 50), (1800, 60)]
    )
    def test_digital(self, length_mm: int, micrometers: int) -> None:
        assert digital_caliper_limit_mm(float(length_mm)) * 1000 == pytest.approx(micrometers, abs=1e-9)

    @pytest.mark.parametrize("length_mm", [10.0, 250.0, 900.0])
    def test_inside_jaws_add_20_micrometers(self, length_mm: float) -> None:
        for limit in (caliper_limit_mm, digital_caliper_limit_mm):
            assert limit(length_mm, inside=True) - limit(length_mm) == pytest.approx(0.020)


@pytest.mark.parametrize(
    ("length_mm", "micrometers"),
    [(25, 4), (50, 4), (75, 5), (100, 5), (125, 6), (200, 7), (300, 9), (400, 11), (500, 13)],
)
def test_micrometer(length_mm: int, micrometers: int) -> None:
    """DIN 863, error limits of outside micrometers in µm as printed on a public sheet of the standard's table."""
    assert gauge_limit_mm(float(length_mm)) * 1000 == pytest.approx(micrometers, abs=1e-9)


def test_the_better_instrument_has_the_smaller_limit() -> None:
    """Common practice, no source."""
    order = ["gauge", "digital caliper", "caliper", "steel rule", "tape", "unknown", "photograph"]
    limits = [limit_mm(Instrument(name), 80.0) for name in order]
    assert limits == sorted(limits)
    assert math.isinf(limits[-1])


@pytest.mark.parametrize(
    ("step", "u"), [(0.01, "0.0029"), (0.02, "0.0058"), (0.05, "0.0144"), (0.5, "0.1443"), (1.0, "0.2887")]
)
def test_rounding(step: float, u: str) -> None:
    """JCGM 100:2008, F.2.2.1: 0.29 of the step."""
    assert f"{from_step(step):.4f}" == u
    assert from_step(step) == pytest.approx(from_bound(step / 2.0))


def test_micrometer_budget() -> None:
    """A published budget: repeats 0.00058/√3, step 0.001, certificate 0.0005 (k = 2); uc 0.00051, U 0.0010 mm."""
    parts = [
        Component("repeats", 0.00058 / math.sqrt(3)),
        Component("step", from_step(0.001)),
        Component("certificate", from_certificate(0.0005), Distribution.NORMAL),
    ]
    assert [f"{part.u_mm:.5f}" for part in parts] == ["0.00033", "0.00029", "0.00025"]
    u, dof = combine(parts)
    assert f"{u:.5f}" == "0.00051"
    assert f"{2 * u:.4f}" == "0.0010"
    assert math.isinf(dof)


class TestEndGauge:
    """JCGM 100:2008, example H.1: an end gauge compared with a standard, nm."""

    l_s, alpha_s, theta = 50_000_623.0, 11.5e-6, -0.1
    u_l, u_d, u_delta_alpha, u_theta, u_alpha, u_delta_theta = 25.0, 9.7, 0.58e-6, 0.41, 1.2e-6, 0.029
    gradient = (1.0, 1.0, -l_s * theta, 0.0, 0.0, -l_s * alpha_s)
    inputs = (u_l, u_d, u_delta_alpha, u_theta, u_alpha, u_delta_theta)
    dof = (18, 25.6, 50, math.inf, math.inf, 2)

    def u_c(self) -> float:
        size = len(self.inputs)
        covariance = [[u * u if i == j else 0.0 for j in range(size)] for i, u in enumerate(self.inputs)]
        return propagate(self.gradient, covariance)

    def test_combined(self) -> None:
        """H.1.4: uc = 32 nm; 31.71 with the inputs as printed."""
        assert self.u_c() == pytest.approx(31.71, abs=0.01)

    def test_contribution_of_the_thermometer(self) -> None:
        """H.1.3.4: 16.6 nm from the temperature difference, 2.9 nm from the expansion difference."""
        parts = [abs(g * u) for g, u in zip(self.gradient, self.inputs, strict=True)]
        assert parts[5] == pytest.approx(16.6, abs=0.1)
        assert parts[2] == pytest.approx(2.9, abs=0.01)

    def test_difference(self) -> None:
        """H.1.3.2: 5.8, 3.9 and 6.7 nm with 24, 5 and 8 degrees of freedom give 9.7 nm with 25.6."""
        parts = [(5.8, 24), (3.9, 5), (6.7, 8)]
        components = [Component(str(u), u, Distribution.STUDENT, nu) for u, nu in parts]
        u, dof = combine(components)
        assert u == pytest.approx(9.7, abs=0.05)
        assert dof == pytest.approx(25.6, abs=0.2)

    def test_effective_degrees_of_freedom(self) -> None:
        """H.1.6: 16.7, cut to 16 for the factor."""
        parts = [abs(g * u) for g, u in zip(self.gradient, self.inputs, strict=True)]
        assert welch_satterthwaite(parts, self.dof) == pytest.approx(16.7, abs=0.05)

    def test_expanded(self) -> None:
        """H.1.6: t99(16) = 2.92, U99 = 93 nm; 92.6 with the inputs as printed."""
        assert student_factor(16, 0.99) == pytest.approx(2.92, abs=0.005)
        assert expanded(self.u_c(), 16, 0.99) == pytest.approx(92.62, abs=0.03)


@pytest.mark.parametrize(
    ("dof", "coverage", "factor"),
    [
        (1, 0.95, 12.71),
        (2, 0.95, 4.3),
        (5, 0.95, 2.57),
        (10, 0.95, 2.23),
        (50, 0.95, 2.01),
        (math.inf, 0.95, 1.96),
        (1, 0.99, 63.66),
        (10, 0.99, 3.17),
        (math.inf, 0.99, 2.576),
    ],
)
def test_student(dof: float, coverage: float, factor: float) -> None:
    """JCGM 100:2008, Table G.2."""
    assert student_factor(dof, coverage) == pytest.approx(factor, abs=0.005)


@pytest.mark.parametrize("dof", [1, 2.5, 7, 16.7, 1000])
@pytest.mark.parametrize("coverage", [0.5, 0.9, 0.999])
def test_student_as_an_independent_library_has_it(dof: float, coverage: float) -> None:
    assert student_factor(dof, coverage) == pytest.approx(stats.t.ppf((1 + coverage) / 2, dof), rel=1e-9)


def test_mean_of_repeats() -> None:
    """By hand: mean 10.2, s = 0.2, s/√3 = 0.1155."""
    mean, u, dof = mean_of([10.0, 10.2, 10.4])
    assert mean == pytest.approx(10.2)
    assert u == pytest.approx(0.2 / math.sqrt(3))
    assert dof == 2


def test_sum_of_four_rectangular_errors() -> None:
    """JCGM 101:2008, 9.2.3: four rectangular errors of u = 1; the GUM interval is ± 3.92."""
    u, dof = combine([Component("one", from_bound(math.sqrt(3.0))) for _ in range(4)])
    assert u == pytest.approx(2.0)
    assert expanded(u, dof) == pytest.approx(3.92, abs=0.001)
