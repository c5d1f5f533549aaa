"""What must hold of wear whatever the chain: it moves sizes in its direction only.

Source of the expectations: geometry of the joint; loss and growth have one sign.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chaincase.calibration.chance import generator
from chaincase.calibration.parts import Piece, new_piece
from chaincase.calibration.wear import Wear, draw_wear, pitch_distance, worn_size
from chaincase.catalog.table import Catalog, Row, Source, build
from chaincase.chains.kinds import Links

ROLLER = {"pitch": 25.4, "roller_diameter": 15.9, "pin_diameter": 7.9, "inner_width": 15.8}
FLANGED = {"pitch": 160.0, "roller_diameter": 60.0, "bush_diameter": 21.0, "pin_diameter": 15.0}
OFFSET = {"pitch": 77.9, "roller_diameter": 41.3, "pin_diameter": 19.1, "sidebar_height": 57.0}
WELDED = {"pitch": 101.6, "bush_diameter": 36.6, "pin_diameter": 19.05, "sidebar_height": 38.1}
CATALOG: Catalog = build(
    Source("laws", "Rows for laws", "own", "round figures"),
    [
        Row("R", "roller", ROLLER, strands=1),
        Row("F", "conveyor flanged", FLANGED),
        Row("O", "offset sidebar", OFFSET),
        Row("W", "welded steel", WELDED),
        Row("T", "flat-top", {"pitch": 38.1, "plate_width": 82.6, "pin_diameter": 6.35}),
        Row("L", "leaf", {"pitch": 12.7, "pin_diameter": 5.09, "pin_length": 11.1}),
    ],
)

chains = st.tuples(st.integers(0, len(CATALOG) - 1), st.integers(0, 10_000))
spots = st.floats(0.0, 1.0)
more = st.floats(1.0, 5.0)


def drawn(chain: tuple[int, int]) -> tuple[Piece, Wear]:
    row, seed = chain
    rng = generator(seed, row)
    piece = new_piece(rng, CATALOG, row)
    return piece, draw_wear(rng, piece)


def worse(wear: Wear, factor: float) -> Wear:
    """More of everything that wears; scale and stretch are no wear."""
    names = ("joint", "roller", "rim", "bush", "bar", "face", "side")
    return replace(wear, **{name: factor * getattr(wear, name) for name in names})


@given(chains, more, st.integers(1, 10))
def test_pins_over_an_outer_link_do_not_part(chain: tuple[int, int], factor: float, over: int) -> None:
    piece, wear = drawn(chain)
    if piece.kind.links is not Links.ALTERNATE:
        return
    one = pitch_distance(piece, wear, first="outer", reference="pins", over=1)
    assert pitch_distance(piece, worse(wear, factor), first="outer", reference="pins", over=1) == one
    inner = pitch_distance(piece, wear, first="inner", reference="pins", over=1)
    assert inner == pytest.approx(one + 2.0 * wear.joint)
    assert pitch_distance(piece, wear, first="inner", reference="rollers", over=1) == one
    assert pitch_distance(piece, wear, first="outer", reference="rollers", over=1) == pytest.approx(inner)
    # Over any length the rollers see the growth of the other links.
    seen = [pitch_distance(piece, wear, first=first, reference="pins", over=over) for first in ("inner", "outer")]
    swapped = [pitch_distance(piece, wear, first=first, reference="rollers", over=over) for first in ("outer", "inner")]
    assert seen == swapped


@given(chains, st.integers(1, 10))
def test_the_mean_pitch_grows_by_the_joint_wear_over_even_counts(chain: tuple[int, int], half: int) -> None:
    piece, wear = drawn(chain)
    unworn = 2 * half * piece.new["pitch"] * (1.0 + wear.stretch)
    for first in ("inner", "outer"):
        worn = pitch_distance(piece, wear, first=first, reference="pins", over=2 * half)
        assert worn - unworn == pytest.approx(2 * half * wear.joint, abs=1e-9)


@given(chains, st.integers(1, 10))
def test_alike_links_grow_everywhere(chain: tuple[int, int], over: int) -> None:
    piece, wear = drawn(chain)
    if piece.kind.links is not Links.ALIKE:
        return
    unworn = over * piece.new["pitch"] * (1.0 + wear.stretch)
    for first in ("inner", "outer", "offset"):
        for reference in ("pins", "rollers"):
            worn = pitch_distance(piece, wear, first=first, reference=reference, over=over)
            assert worn - unworn == pytest.approx(over * wear.joint, abs=1e-9)


@given(chains, more, spots)
@settings(max_examples=200)
def test_more_wear_moves_sizes_one_way(chain: tuple[int, int], factor: float, spot: float) -> None:
    piece, wear = drawn(chain)
    grows = {"bush_bore", "inner_width", "outer_link_inner_width"}
    still = {"hollow_pin_bore", "transverse_pitch"}
    for name in piece.new:
        if name == "pitch":
            continue
        before, after = (worn_size(piece, state, name, spot) for state in (wear, worse(wear, factor)))
        if name in grows:
            assert after >= before - 1e-12
        elif name not in still:
            assert after <= before + 1e-12


@given(chains, spots)
def test_a_pin_never_exceeds_its_new_size(chain: tuple[int, int], spot: float) -> None:
    piece, wear = drawn(chain)
    assert worn_size(piece, wear, "pin_diameter", 0.0) == piece.new["pin_diameter"]
    assert worn_size(piece, wear, "pin_diameter", spot) <= piece.new["pin_diameter"]


@given(chains)
def test_scale_adds_outside_and_takes_inside(chain: tuple[int, int]) -> None:
    piece, wear = drawn(chain)
    clean, rusty = replace(wear, scale=0.0), replace(wear, scale=0.2)
    for name in piece.new:
        if name == "pitch":
            continue
        before, after = (worn_size(piece, state, name, 0.5) for state in (clean, rusty))
        if name in {"inner_width", "outer_link_inner_width", "hollow_pin_bore"}:
            assert after < before
        else:
            assert after >= before


@given(chains)
def test_parts_fit_together(chain: tuple[int, int]) -> None:
    new = drawn(chain)[0].new
    for smaller, larger in (
        ("pin_diameter", "bush_bore"),
        ("bush_bore", "bush_diameter"),
        ("bush_diameter", "roller_diameter"),
        ("roller_diameter", "flange_diameter"),
        ("inner_link_width", "outer_link_inner_width"),
        ("pin_length", "pin_length_connecting"),
    ):
        if smaller in new and larger in new:
            assert new[smaller] < new[larger]
    assert all(np.isfinite(size) and size > 0 for size in new.values())
