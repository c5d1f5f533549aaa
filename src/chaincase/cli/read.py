"""`chaincase read TEXT`: an old order line or part description to fields; `-` reads standard input."""

import json
import sys
from collections.abc import Iterator

import click

from chaincase.catalog.sheets import check_text
from chaincase.cli.terminal import printable
from chaincase.cli.words import odds
from chaincase.errors import BadInput
from chaincase.reading.order_line import Item, OrderText, read_order
from chaincase.reading.page import LONGEST_TEXT
from chaincase.units import show_length

_MOST_BYTES = 4 * LONGEST_TEXT + 3
"""UTF-8 takes at most four bytes for a character, and three for a byte order mark."""
_LENGTHS = frozenset({"length", "spacing_length", "pitch"})
_LABELS = {"spacing_pitches": "spacing", "spacing_length": "spacing", "length_pitches": "length"}
_UNITS = {"spacing_pitches": "pitches", "length_pitches": "pitches"}


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("text", nargs=-1, required=True)
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def read(text: tuple[str, ...], as_json: bool) -> None:
    """Read order lines: chain number, attachments, lengths and the rest. Put TEXT in quotes, or give - for stdin."""
    order = _from_standard_input() if text == ("-",) else read_order(" ".join(text))
    if as_json:
        click.echo(json.dumps(order.as_json(), ensure_ascii=False, indent=2))
    else:
        click.echo("\n".join(_lines(order)))


def _from_standard_input() -> OrderText:
    where = "standard input"
    data = sys.stdin.buffer.read(_MOST_BYTES + 1)
    if len(data) > _MOST_BYTES:
        right = f"give at most {LONGEST_TEXT} characters at a time"
        raise BadInput(f"there are more than {_MOST_BYTES} bytes", where=where, right=right)
    check_text(data, where)
    return read_order(str(data, "utf-8-sig"), where=where)


def _lines(order: OrderText) -> Iterator[str]:
    """Give the text, what was read in it and what was not."""
    yield from (printable(line, keep="") for line in order.text.strip().splitlines())
    yield ""
    if not order.items:
        yield "Nothing was read."
    for item in order.items:
        label = _label(item)
        yield f"  {label:<12} {_value(item)}, {odds(item.probability)}: {_quoted(order, item)}"
    unread = [order.text[slice(*span)] for span in order.unread]
    quoted = ", ".join(f"{printable(text, keep='')!r}" for text in unread)
    yield f"Unread: {quoted}." if unread else "Nothing stays unread."


def item_in_words(item: Item) -> str:
    """Give an item with what it is.

    >>> item_in_words(read_order("K2 every 4th").items[1])
    'spacing 4 pitches'
    """
    return f"{_label(item)} {_value(item)}"


def _label(item: Item) -> str:
    return _LABELS.get(item.field, item.field)


def _quoted(order: OrderText, item: Item) -> str:
    return repr(printable(order.text[item.start : item.end], keep=""))


def _value(item: Item) -> str:
    if item.field in _LENGTHS:
        return show_length(float(item.value))
    unit = _UNITS.get(item.field)
    named = f" ({item.listed_as} in the tables)" if item.listed_as not in {"", item.value} else ""
    return f"{item.value} {unit}" if unit else f"{item.value}{named}"
