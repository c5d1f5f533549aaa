"""The reliability diagram as SVG: stated probability against how often it was right."""

from collections.abc import Sequence

from chaincase.calibration.scores import Bin

_SIDE, _MARGIN = 360.0, 56.0
_SIZE = _SIDE + 2 * _MARGIN
_FONT = 'font-family="sans-serif" font-size="12"'
_INK, _FAINT = "#222222", "#999999"


def reliability_svg(bins: Sequence[Bin], title: str) -> str:
    """Give the diagram; each bin is a dot with its 95 % interval, the diagonal is what would be true.

    >>> from chaincase.calibration.scores import reliability
    >>> reliability_svg(reliability([0.4, 0.9], [0, 1], bins=2), "Two answers").startswith("<svg")
    True
    """
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_SIZE:g} {_SIZE:g}" {_FONT}>',
        f"<title>{_escaped(title)}</title>",
        f'<rect width="{_SIZE:g}" height="{_SIZE:g}" fill="#ffffff"/>',
        *_axes(),
        _line(0.0, 0.0, 1.0, 1.0, _FAINT, dash=True),
        *(_dot(each) for each in bins),
        _text(_MARGIN + _SIDE / 2, 24.0, _escaped(title), anchor="middle"),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _axes() -> list[str]:
    parts = [_line(0.0, 0.0, 1.0, 0.0, _INK), _line(0.0, 0.0, 0.0, 1.0, _INK)]
    for tenth in range(0, 11, 2):
        at = tenth / 10
        parts += [
            _line(at, 0.0, at, -0.012, _INK),
            _line(0.0, at, -0.012, at, _INK),
            _text(_x(at), _y(0.0) + 20.0, f"{at:g}", anchor="middle"),
            _text(_x(0.0) - 8.0, _y(at) + 4.0, f"{at:g}", anchor="end"),
        ]
    middle = _MARGIN + _SIDE / 2
    parts.append(_text(middle, _SIZE - 16.0, "stated probability of the answer", anchor="middle"))
    turned = f'transform="rotate(-90 16 {middle:g})"'
    parts.append(_text(16.0, middle, "share of these answers that were right", anchor="middle", more=turned))
    return parts


def _dot(each: Bin) -> str:
    bar = _line(each.stated, each.right.low, each.stated, each.right.high, _INK)
    center = f'cx="{_x(each.stated):.1f}" cy="{_y(each.right.value):.1f}"'
    words = f"said {each.stated:.1%}, right {each.right.value:.1%} of {each.right.n}"
    return f'{bar}\n<circle {center} r="4" fill="{_INK}"><title>{words}</title></circle>'


def _x(share: float) -> float:
    return _MARGIN + share * _SIDE


def _y(share: float) -> float:
    return _MARGIN + (1.0 - share) * _SIDE


def _line(x1: float, y1: float, x2: float, y2: float, color: str, *, dash: bool = False) -> str:
    ends = f'x1="{_x(x1):.1f}" y1="{_y(y1):.1f}" x2="{_x(x2):.1f}" y2="{_y(y2):.1f}"'
    dashes = ' stroke-dasharray="4 4"' if dash else ""
    return f'<line {ends} stroke="{color}"{dashes}/>'


def _text(x: float, y: float, words: str, *, anchor: str, more: str = "") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{_INK}" {more}>{words}</text>'.replace(
        " >", ">"
    )


def _escaped(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
