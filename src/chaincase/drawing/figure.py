"""The keyed figure of a chain: plan view above side view, drawn to scale from its dimensions.

The views stand as in third-angle projection, so that the pins line up. Key letters are those of
`chains.dimensions`. What is not known is assumed for the drawing alone, drawn thin, and named in
`Scene.assumed`.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace

from chaincase.chains.dimensions import BY_NAME
from chaincase.chains.kinds import Kind, kind_named
from chaincase.drawing.cranked import cranked_chain
from chaincase.drawing.dimensioning import Label
from chaincase.drawing.flat_top import flat_top_chain
from chaincase.drawing.forged import detachable_chain, rivetless_chain
from chaincase.drawing.layout import lay_out
from chaincase.drawing.leaf import leaf_chain
from chaincase.drawing.plates import plate_chain
from chaincase.drawing.scene import Scene
from chaincase.drawing.sizes import Sizes, complete
from chaincase.drawing.view import Views
from chaincase.errors import BadInput

FAMILIES: Mapping[str, Callable[[str, Sizes], Views]] = {
    "roller": plate_chain,
    "bush": plate_chain,
    "double pitch": plate_chain,
    "conveyor bush": plate_chain,
    "conveyor roller": plate_chain,
    "conveyor flanged": plate_chain,
    "hollow pin bush": plate_chain,
    "hollow pin roller": plate_chain,
    "hollow pin flanged": plate_chain,
    "offset sidebar": cranked_chain,
    "bushed rollerless": plate_chain,
    "combination": plate_chain,
    "cast mill": cranked_chain,
    "pintle": cranked_chain,
    "class 700": cranked_chain,
    "welded steel": cranked_chain,
    "drag": cranked_chain,
    "rivetless": rivetless_chain,
    "detachable": detachable_chain,
    "leaf": leaf_chain,
    "flat-top": flat_top_chain,
    "agricultural": plate_chain,
}
"""How each kind is drawn."""

ONLY_IF_KNOWN = frozenset({"transverse_pitch", "chain_path_depth", "pin_length_connecting"})
"""Dimensions of features that not every chain of a kind has; without a figure they are not drawn at all."""

_SUPERSEDED = (
    (("sidebar_height",), ("inner_plate_height", "outer_plate_height")),
    (("sidebar_thickness",), ("inner_plate_thickness", "outer_plate_thickness")),
)
"""Where all bars are alike one dimension says what two say elsewhere; kinds that list both show one way."""


def _shown(kind: Kind, sizes: Sizes, views: Views) -> list[str]:
    """Give the dimensions that the figure has a letter for, in the order of the kind.

    A transverse pitch, for one, has a place on a chain of several strands only.
    """
    placed = {wanted.name for view in (views.plan, views.side) for wanted in view.wanted}
    hidden = {n for n in ONLY_IF_KNOWN if n not in sizes.known}
    for single, double in _SUPERSEDED:
        if kind.dimensions.count(single[0]) and kind.dimensions.count(double[0]):
            hidden |= set(double if sizes.knows(*single) else single) - sizes.known
    return [name for name in kind.dimensions if name in placed - hidden]


def _assumptions(shown: Collection[str], sizes: Sizes, views: Views) -> tuple[str, ...]:
    names = [BY_NAME[n].label for n in shown if n not in sizes.known]
    return tuple(f"not to scale: {name} not known" for name in (*names, *views.unknown))


def _description(kind: Kind, shown: Collection[str], sizes: Sizes, assumed: Collection[str]) -> str:
    """Give in words what the figure shows, for a reader who cannot see it."""
    known = [f"{BY_NAME[n].letter} {BY_NAME[n].label} {sizes[n]:g} mm" for n in shown if n in sizes.known]
    head = f"Plan view above side view of a {kind.label}, two links, third-angle projection."
    return " ".join([head, *([f"To scale: {', '.join(known)}."] if known else []), *(f"{a}." for a in assumed)])


def figure(
    kind: str,
    dimensions: Mapping[str, float],
    *,
    values: Mapping[str, str] | None = None,
    title: str,
    letters: Collection[str] | None = None,
) -> Scene:
    """Draw the plan view and side view of a chain to scale, with its key letters.

    Parameters
    ----------
    kind : str
        Name of a kind in `chains.kinds`.
    dimensions : mapping
        What is known [mm]; dimensions that do not exist on the kind are left aside.
    values : mapping, optional
        Text beside the key letter, by dimension.
    title : str
        Title of the drawing.
    letters : collection of str, optional
        Dimensions to show; without it all of the kind, those of optional features only if known.

    Raises
    ------
    BadInput
        If the kind or a dimension does not exist, or a size cannot be drawn.

    >>> scene = figure("roller", {"pitch": 12.7, "roller_diameter": 7.92}, title="08A-1")
    >>> [(d.letter, d.assumed) for d in scene.dimensions][-1]
    ('P', False)
    >>> scene.assumed[0]
    'not to scale: pin diameter not known'
    """
    the_kind = kind_named(kind)
    for name in (*(values or {}), *(letters or ())):
        if name not in BY_NAME:
            raise BadInput(f"{name!r} is not a dimension", right=f"use one of: {', '.join(BY_NAME)}")
    sizes = complete(the_kind, dimensions)
    views = FAMILIES[kind](kind, sizes)
    possible = _shown(the_kind, sizes, views)
    shown = [n for n in possible if letters is None or n in letters]
    texts = values or {}
    labels = {n: Label(BY_NAME[n].letter, _one_line(texts.get(n, "")), n not in sizes.known) for n in shown}
    assumed = _assumptions(possible, sizes, views)
    scene = lay_out(views, labels, scaled=sizes.knows("pitch"), assumed=assumed)
    return replace(scene, title=title, description=_description(the_kind, shown, sizes, assumed))


def _one_line(text: str) -> str:
    """Give a text on one line, as a label needs it."""
    return " ".join(text.split())
