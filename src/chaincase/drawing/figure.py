"""The keyed figure of a chain: plan view above side view, drawn to scale from its dimensions.

The views stand as in third-angle projection, so that the pins line up. Key letters are those of
`chains.dimensions`. What is not known is assumed for the drawing alone, drawn thin, and named in
`Scene.assumed`.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from enum import StrEnum

from chaincase.chains.dimensions import BY_NAME
from chaincase.chains.kinds import Kind, kind_named
from chaincase.drawing.attachment_views import with_attachments
from chaincase.drawing.attachments import Attachment
from chaincase.drawing.cranked import cranked_chain
from chaincase.drawing.dimensioning import Label
from chaincase.drawing.flat_top import flat_top_chain
from chaincase.drawing.forged import detachable_chain, rivetless_chain
from chaincase.drawing.layout import lay_out, note_of
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


def _description(
    kind: Kind,
    shown: Collection[str],
    sizes: Sizes,
    assumed: Collection[str],
    attachments: Sequence[Attachment] = (),
) -> str:
    """Give in words what the figure shows, for a reader who cannot see it."""
    known = [f"{BY_NAME[n].letter} {BY_NAME[n].label} {sizes[n]:g} mm" for n in shown if n in sizes.known]
    head = f"Plan view above side view of a {kind.label}, two links, third-angle projection."
    carried = [f"{each.words}." for each in attachments]
    true = [f"To scale: {', '.join(known)}."] if known else []
    return " ".join([head, *carried, *true, *(f"{a}." for a in assumed)])


class State(StrEnum):
    """What a figure is for."""

    BLANK = "blank"
    """Key letters alone, every edge thick: shows where to measure."""
    MEASURED = "measured"
    """Values are readings; what is asked for has a frame."""
    SPECIFIED = "specified"
    """Values are those to order by; a dimension without a size is left out."""
    COMPARE = "compare"
    """The candidate's value stands over the reading."""


def figure(
    kind: str,
    dimensions: Mapping[str, float],
    *,
    values: Mapping[str, str] | None = None,
    title: str,
    letters: Collection[str] | None = None,
    state: str = State.MEASURED,
    asked: Collection[str] = (),
    found: Mapping[str, str] | None = None,
    attachments: Sequence[Attachment] = (),
    strands: int = 0,
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
    state : str
        One of `State`.
    asked, found : collection of str, mapping of str to str
        Dimensions to frame as asked for; readings as text, for the state `compare`.
    attachments : sequence of Attachment
        What the links carry; their own dimensions stand in `attachment_figure`.
    strands : int
        Number of strands; 0 where it is not known, and the length over the pin tells it.

    Raises
    ------
    BadInput
        If the kind, the state or a dimension does not exist, or a size cannot be drawn.

    >>> scene = figure("roller", {"pitch": 12.7, "roller_diameter": 7.92}, title="08A-1")
    >>> [(d.letter, d.assumed) for d in scene.dimensions][-1]
    ('P', False)
    >>> scene.assumed[0]
    'not to scale: pin diameter not known'
    """
    the_kind, the_state = kind_named(kind), state_named(state)
    _check_names(the_kind, values or {}, letters or (), asked, found or {})
    sizes = replace(complete(the_kind, dimensions), plain=the_state is State.BLANK, strands=strands)
    views = FAMILIES[kind](kind, sizes)
    possible = _shown(the_kind, sizes, views)
    shown = [n for n in possible if _is_shown(n, letters, the_state, sizes)]
    labels = _labels(shown, the_state, sizes, values or {}, found or {}, asked)
    assumed = _assumptions(possible, sizes, views)
    views = with_attachments(views, kind, sizes, attachments)
    scaled = sizes.knows("pitch") and not (sizes.plain and assumed)
    scene = lay_out(views, labels, scaled=scaled, note=note_of(assumed=bool(assumed), plain=sizes.plain))
    description = _description(the_kind, shown, sizes, assumed, attachments)
    return replace(scene, title=title, description=description, assumed=assumed)


def state_named(state: str) -> State:
    """Give the state of that name.

    Raises
    ------
    BadInput
        If there is none.
    """
    try:
        return State(state)
    except ValueError:
        raise BadInput(f"{state!r} is not a state of a figure", right=f"use one of: {', '.join(State)}") from None


def _check_names(kind: Kind, *names: Collection[str]) -> None:
    for name in (name for some in names for name in some):
        if name not in BY_NAME:
            raise BadInput(
                f"{name!r} is not a dimension of {kind.label}", right=f"use one of: {', '.join(kind.dimensions)}"
            )


def _is_shown(name: str, letters: Collection[str] | None, state: State, sizes: Sizes) -> bool:
    if letters is not None:
        return name in letters
    return state is not State.SPECIFIED or name in sizes.known


def _labels(
    shown: Collection[str],
    state: State,
    sizes: Sizes,
    values: Mapping[str, str],
    found: Mapping[str, str],
    asked: Collection[str],
) -> dict[str, Label]:
    """Give what stands at each dimension in a state."""
    blank, compare = state is State.BLANK, state is State.COMPARE
    return {
        name: Label(
            BY_NAME[name].letter,
            "" if blank else _one_line(values.get(name, "")),
            name not in sizes.known and not blank,
            _one_line(found.get(name, "")) if compare else "",
            name in asked,
        )
        for name in shown
    }


def _one_line(text: str) -> str:
    """Give a text on one line, as a label needs it."""
    return " ".join(text.split())
