"""Where wear shows, against a strand whose joints are worn one by one."""

import pytest

from chaincase.chains.dimensions import BY_NAME, DIMENSIONS, Group
from chaincase.chains.kinds import Links
from chaincase.errors import BadInput
from chaincase.measuring.growth import REFERENCE_GUESS, Link, Reference, growth
from chaincase.measuring.techniques import Technique
from chaincase.measuring.wear import DRIFT, Amount, drift_of

ALTERNATE, ALIKE = Links.ALTERNATE, Links.ALIKE


def strand(first: Link, links: int, w: float, p: float = 100.0) -> tuple[list[float], list[float]]:
    """Lay out a pulled alternating strand link by link and give where its pins and its bushes lie.

    A link keeps the pitch of its own ends, pins on an outer and bushes on an inner link. At each joint the next
    link's end follows only after the play w.
    """
    pins, bushes = [0.0], [0.0]
    kind = first
    for _ in range(links):
        fast = pins if kind is Link.OUTER else bushes
        loose = bushes if kind is Link.OUTER else pins
        fast.append(fast[-1] + p)
        loose.append(fast[-1] + w)
        kind = Link.INNER if kind is Link.OUTER else Link.OUTER
    return pins, bushes


@pytest.mark.parametrize("over", [1, 2, 3, 4, 5, 8, 13])
@pytest.mark.parametrize("first", [Link.OUTER, Link.INNER])
@pytest.mark.parametrize("reference", [Reference.PINS, Reference.ROLLERS])
def test_growth_on_a_strand_laid_out_link_by_link(over: int, first: Link, reference: Reference) -> None:
    p, w = 100.0, 0.8
    # One more link in front, so that the first joint measured from is a pulled one too.
    before = Link.INNER if first is Link.OUTER else Link.OUTER
    pins, bushes = strand(before, over + 2, w, p)
    at = pins if reference is Reference.PINS else bushes
    seen = (at[1 + over] - at[1]) / over
    ((factor, probability),) = growth(ALTERNATE, first, reference, over)
    assert probability == 1.0
    assert seen == pytest.approx(p * (1 + factor * w / p))


@pytest.mark.parametrize(
    ("links", "link", "reference", "over", "factor"),
    [
        (ALTERNATE, Link.OUTER, Reference.PINS, 1, 0.0),
        (ALTERNATE, Link.INNER, Reference.PINS, 1, 2.0),
        (ALTERNATE, Link.INNER, Reference.ROLLERS, 1, 0.0),
        # "At 3 % elongation of the chain the outer link reaches about 6 %": printed in a textbook on chain drives.
        (ALTERNATE, Link.OUTER, Reference.ROLLERS, 1, 2.0),
        (ALTERNATE, Link.OUTER, Reference.PINS, 3, 2 / 3),
        (ALTERNATE, Link.INNER, Reference.PINS, 3, 4 / 3),
        (ALTERNATE, Link.OUTER, Reference.PINS, 12, 1.0),
        (ALTERNATE, Link.OFFSET, Reference.PINS, 1, 1.0),
        (ALIKE, Link.OFFSET, Reference.PINS, 1, 1.0),
        (ALIKE, Link.INNER, Reference.ROLLERS, 5, 1.0),
        (ALTERNATE, Link.INNER, Reference.HOLES, 1, 0.0),
        (ALIKE, Link.OFFSET, Reference.HOLES, 1, 0.0),
        (ALTERNATE, Link.OUTER, Reference.HOLES, 3, 2 / 3),
    ],
)
def test_known_place_gives_one_factor(links: Links, link: Link, reference: Reference, over: int, factor: float) -> None:
    """Geometry of the joint."""
    assert growth(links, link, reference, over) == ((pytest.approx(factor), 1.0),)


def test_unknown_link_is_half_and_half() -> None:
    """Common practice, no source."""
    assert growth(ALTERNATE, Link.UNKNOWN, Reference.PINS, 1) == ((0.0, 0.5), (2.0, 0.5))
    assert growth(ALTERNATE, Link.UNKNOWN, Reference.PINS, 2) == ((1.0, 1.0),)


@pytest.mark.parametrize("technique", [Technique.SAME_EDGE, Technique.CENTER_TO_CENTER])
def test_unknown_reference_is_mostly_the_pins(technique: Technique) -> None:
    """Common practice, no source."""
    mixture = dict(growth(ALTERNATE, Link.OUTER, Reference.UNKNOWN, 1, technique))
    assert mixture == {0.0: pytest.approx(0.85), 2.0: pytest.approx(0.15)}


def test_only_a_hole_can_be_zeroed_on() -> None:
    assert growth(ALTERNATE, Link.UNKNOWN, Reference.UNKNOWN, 1, Technique.ZEROED_ON_HOLE) == ((0.0, 1.0),)


def test_every_technique_has_its_guess_and_guesses_add_to_one() -> None:
    assert set(REFERENCE_GUESS) == set(Technique)
    for guess in REFERENCE_GUESS.values():
        assert sum(p for _, p in guess) == pytest.approx(1.0)


@pytest.mark.parametrize("over", [0, -3])
def test_no_pitch_at_all_is_refused(over: int) -> None:
    with pytest.raises(BadInput, match=f"over {over} pitches"):
        growth(ALIKE, Link.OFFSET, Reference.PINS, over)


class TestDrift:
    """Common practice and geometry of the joint, no source."""

    def test_every_dimension_has_one(self) -> None:
        assert set(DRIFT) == {d.name for d in DIMENSIONS}

    def test_what_is_touched_from_outside_loses(self) -> None:
        losing = {Group.DIAMETER, Group.HEIGHT, Group.THICKNESS}
        assert {d.name: DRIFT[d.name].wear for d in DIMENSIONS if d.group in losing} == {
            d.name: -1 for d in DIMENSIONS if d.group in losing
        }

    def test_bores_grow_under_wear_and_close_under_rust(self) -> None:
        assert (drift_of("bush_bore").wear, drift_of("bush_bore").rust) == (1, -1)

    def test_widths_move_little(self) -> None:
        assert {DRIFT[d.name].amount for d in DIMENSIONS if d.group is Group.WIDTH} == {Amount.LITTLE}

    def test_pitch_moves_by_growth_only_and_scale_does_not_matter(self) -> None:
        assert drift_of("pitch").amount is Amount.BY_GROWTH
        assert drift_of("pitch").rust == 0

    @pytest.mark.parametrize("name", ["pin_diameter", "roller_diameter", "sidebar_thickness", "pin_length"])
    def test_scale_adds_outside(self, name: str) -> None:
        assert drift_of(name).rust == 1

    def test_signs_are_signs(self) -> None:
        assert {d.wear for d in DRIFT.values()} <= {-1, 0, 1}
        assert all(d.where for d in DRIFT.values())

    def test_an_unnamed_width_has_none(self) -> None:
        assert "width" not in BY_NAME
        with pytest.raises(BadInput, match="'width' is not a dimension"):
            drift_of("width")
