"""Small pictures that show where tape and caliper go; one hand, one size, no words that would need a language.

The part is gray, the instrument blue. Every picture is an SVG of 48 x 30 units.
"""

from typing import Final

_BLUE, _GRAY, _EDGE = "#1d4e7a", "#d9dee3", "#3c444b"

# Jaws from above, closing on something from both sides; `{a}` and `{b}` are the faces that touch.
_OUTSIDE = (
    '<path d="M4 4H44M{a} 4V{low}M{b} 4V{low}" stroke-width="1.6"/>'
    '<path d="M{a2} 5V{low}L{a} {low}V5ZM{b2} 5V{low}L{b} {low}V5Z" fill="#1d4e7a" stroke="none"/>'
)
# Jaws from below, pressing outward.
_INSIDE = (
    '<path d="M4 27H44" stroke-width="1.6"/>'
    '<path d="M{a} {top}V26H{a2}V{top2}ZM{b} {top}V26H{b2}V{top2}Z" fill="#1d4e7a" stroke="none"/>'
)


def _part(shapes: str) -> str:
    return f'<g fill="{_GRAY}" stroke="{_EDGE}" stroke-width="0.9">{shapes}</g>'


def _tool(shapes: str) -> str:
    return f'<g fill="none" stroke="{_BLUE}" stroke-width="1.1" stroke-linejoin="round">{shapes}</g>'


def _span(y: float, left: float, right: float) -> str:
    """Give a dimension line with its arrows."""
    heads = f'<path d="M{left} {y}l3.4 -1.3v2.6ZM{right} {y}l-3.4 -1.3v2.6Z" fill="{_BLUE}" stroke="none"/>'
    return f'<path d="M{left} {y}H{right}"/>{heads}'


def _outside(a: float, b: float, low: float) -> str:
    return _OUTSIDE.format(a=a, b=b, a2=a - 3.2, b2=b + 3.2, low=low)


def _inside(a: float, b: float, top: float) -> str:
    return _INSIDE.format(a=a, b=b, a2=a + 3.0, b2=b - 3.0, top=top, top2=top + 3.0)


_PIN = '<circle cx="{x}" cy="{y}" r="{r}"/>'


def _pins(xs: tuple[float, ...], r: float = 3.4, y: float = 12.0) -> str:
    return "".join(_PIN.format(x=x, y=y, r=r) for x in xs)


def _tape(left: float, right: float) -> str:
    ticks = "".join(f"M{x} 22v{4 if i % 2 == 0 else 2.4}" for i, x in enumerate(range(6, 44, 4)))
    return (
        f'<path d="M2 22H46V29H2Z" fill="#fff"/><path d="{ticks}" stroke-width="0.7"/>'
        f'<path d="M{left} 12V22M{right} 12V22" stroke-width="0.8"/>{_span(18.4, left, right)}'
    )


_BARS = '<rect x="3" y="6" width="42" height="12" rx="6"/>'
_WHITE_PINS = '<g fill="#fff">{}</g>'

SHAPES: Final = {
    "tape": _part(_BARS + _WHITE_PINS.format(_pins((12, 34)))) + _tool(_tape(8.6, 30.6)),
    "tape over several": _part(
        '<path d="M1 8H47V16H1Z" stroke="none"/><path d="M1 8H47M1 16H47" fill="none"/>'
        + _WHITE_PINS.format(_pins((8, 16, 24, 32, 40), 2.4))
    )
    + _tool(_tape(5.6, 37.6)),
    "over a round part": _part('<circle cx="24" cy="18" r="9"/>') + _tool(_outside(15, 33, 23)),
    "over a wide part": _part('<rect x="12" y="11" width="24" height="15"/>') + _tool(_outside(12, 36, 22)),
    "over a plate": _part('<rect x="21" y="10" width="6" height="18"/>') + _tool(_outside(21, 27, 22)),
    "inside a bore": _part('<circle cx="24" cy="14" r="12.4"/><circle cx="24" cy="14" r="8" fill="#fff"/>')
    + _tool(_inside(16.6, 31.4, 11)),
    "inside a gap": _part('<rect x="5" y="3" width="6" height="18"/><rect x="37" y="3" width="6" height="18"/>')
    + _tool(_inside(11, 37, 8)),
    "depth": _part('<path d="M5 9H16V24H32V9H43V29H5Z"/>')
    + _tool(
        '<path d="M12 3H36V8H12Z" fill="#fff"/><path d="M23 8V23.4M25 8V23.4"/><path d="M23 20L24 23.6L25 20Z"/>'
    ),
    "zeroed on hole": _part(
        '<rect x="2" y="2" width="44" height="20" rx="3"/><g fill="#fff"><circle cx="13" cy="12" r="5.4"/>'
        '<circle cx="35" cy="12" r="5.4"/></g>'
    )
    + _tool(
        '<path d="M4 27H44" stroke-width="1.6"/>'
        '<path d="M7.8 11V26H10.4V13ZM40.2 11V26H37.6V13Z" fill="#1d4e7a" stroke="none"/>'
        '<circle cx="13" cy="12" r="2.6" stroke-width="0.9" stroke-dasharray="1.2 0.9"/>'
    ),
    "height above the pin": _part(
        '<path d="M2 27H31" fill="none" stroke-dasharray="4 1.5 1 1.5"/><path d="M8 5H31V9H12V22H8Z"/>'
    )
    + _tool('<path d="M31 5H44M31 27H44" stroke-width="0.8"/><path d="M39 5V27"/>'
            '<path d="M39 5l-1.3 3.4h2.6ZM39 27l-1.3 -3.4h2.6Z" fill="#1d4e7a" stroke="none"/>'),
    "over the rim": _part('<circle cx="24" cy="18" r="10.5"/><circle cx="24" cy="18" r="6.4" fill="#fff"/>')
    + _tool(_outside(13.5, 34.5, 23)),
    "over a pin": _part('<rect x="5" y="15" width="38" height="8" rx="2"/><rect x="13" y="10" width="4" height="18"/>'
                        '<rect x="31" y="10" width="4" height="18"/>') + _tool(_outside(5, 43, 21)),
}  # fmt: skip
"""What each picture is drawn of."""


def pictogram(name: str) -> str:
    """Give one small picture as SVG; KeyError where there is none.

    >>> pictogram("tape").startswith("<svg")
    True
    """
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 30" width="48" height="30"><title>{name}</title>'
        f"{SHAPES[name]}</svg>"
    )
