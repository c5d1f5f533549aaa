"""The grammar of one quantity, in exact arithmetic.

    quantity := amount [unit]  |  whole feet, amount of inches
    amount   := number  |  fraction  |  number [dash] fraction
    fraction := whole "/" whole  |  one of the characters ½ ¼ ¾ ⅛ ...

A number has at most one mark, point or comma, and that is the decimal mark. Refused because they have two
meanings: `1,234` (decimal or thousands), anything with several marks (`1,234.5`), ranges and lists.
"""

import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from numbers import Integral, Real
from typing import Final, NamedTuple

from chaincase.errors import BadInput
from chaincase.units.measures import LENGTH, MEASURES, THOUSANDTHS, Measure

LONGEST_TEXT: Final = 200
"""Characters; whatever is longer is not one quantity."""

_FRACTIONS: Final = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
_SMALL_DIGITS: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789")
_LETTER: Final = rf"[^\W\d_{_FRACTIONS}⁰¹²³⁴-⁹₀-₉]"
_TOKEN: Final = re.compile(
    rf"""
    (?P<space>[\s\u200b\u2060\ufeff]+)
    |(?P<number>[0-9]+(?:[.,][0-9]+)*\.?|[.,][0-9]+|[⁰¹²³⁴-⁹]+|[₀-₉]+)
    |(?P<vulgar>[{_FRACTIONS}])
    |(?P<slash>[/⁄∕])
    |(?P<dash>[-‐‑‒–—−])
    |(?P<inch>["″”“„]|['′’‘´`]{{2}})
    |(?P<foot>['′’‘´`])
    |(?P<word>{_LETTER}+(?:\s*/\s*{_LETTER}+)?\.?)
    |(?P<other>.)
    """,
    re.VERBOSE | re.DOTALL,
)
_MARKS: Final = {"inch": '"', "foot": "'"}
_BETWEEN: Final = frozenset({"x", "х", "×", "*", "by", ";", ",", "&", "+", "and"})
_UNTIL: Final = frozenset({"to", "…", "~", "until", "through"})


class Written(NamedTuple):
    """What a text says: a value and the step of its last place, both in `unit` (None: not written)."""

    value: Fraction
    step: Fraction
    unit: str | None = None


class ForeignUnit(BadInput):
    """The unit is none of the measure's."""


class _Token(NamedTuple):
    kind: str
    text: str
    start: int


class _Reader:
    """The pieces of a text, one after the other, without its spaces."""

    def __init__(self, text: str, measure: Measure) -> None:
        self.text = text
        self.measure = measure
        found = (_Token(str(m.lastgroup), m.group(), m.start()) for m in _TOKEN.finditer(text))
        self.tokens = [token for token in found if token.kind != "space"]
        self.tokens.append(_Token("end", "", len(text)))
        self.at = 0

    @property
    def next(self) -> _Token:
        """The piece that comes next; at the end always the same one."""
        return self.tokens[self.at]

    def take(self) -> _Token:
        """Give the next piece and step over it."""
        token = self.tokens[self.at]
        self.at = min(self.at + 1, len(self.tokens) - 1)
        return token

    def ahead(self, offset: int) -> tuple[str, str]:
        """Give the kinds of the two pieces from `offset` on."""
        kinds = [token.kind for token in self.tokens[self.at + offset : self.at + offset + 2]]
        return (*kinds, "end", "end")[0], (*kinds, "end", "end")[1]

    def fault(self, what: str, token: _Token, right: str) -> BadInput:
        """Say what is wrong at a piece, counting characters from 1."""
        return BadInput(f"{shortened(self.text)} {what}", where=f"character {token.start + 1}", right=right)


def shortened(text: str) -> str:
    """Quote a text, cut to forty characters."""
    return repr(text if len(text) <= 40 else f"{text[:37]}...")


def read(text: str | float, measure: Measure, where: str) -> Written:
    """Read one quantity from a text or, without a unit, from a number.

    Raises
    ------
    BadInput
        With the character, counted from 1.
    """
    try:
        return _read_text(text, measure) if isinstance(text, str) else _read_number(text, measure)
    except BadInput as fault:
        if not where:
            raise
        raise fault.within(where) from None


def _read_number(number: object, measure: Measure) -> Written:
    """Take a number of a spreadsheet or a JSON file; its unit is unknown."""
    if isinstance(number, bool) or not isinstance(number, Real):
        raise BadInput(f"{shortened(str(number))} is not a {measure.name}", right=f"write {measure.example}")
    if not -measure.largest <= number <= measure.largest:  # refuses nan as well
        raise BadInput(f"the number is not a {measure.name}", right=_range(measure))
    digits = Decimal(int(number)) if isinstance(number, Integral) else Decimal(repr(float(number)))
    exponent = min(int(digits.as_tuple().exponent), 0)
    written = Written(Fraction(digits), Fraction(1, 10**-exponent))
    return _checked(written, _Reader(str(number), measure))


def _read_text(text: str, measure: Measure) -> Written:
    if len(text) > LONGEST_TEXT:
        what = f"{shortened(text)} has {len(text)} characters"
        raise BadInput(what, where=f"character {LONGEST_TEXT + 1}", right=f"write one {measure.name} only")
    reader = _Reader(text, measure)
    if reader.next.kind == "end":
        raise reader.fault("is empty", reader.next, f"write a {measure.name}, such as {measure.example}")
    if reader.next.kind == "dash":
        raise reader.fault("is negative", reader.next, measure.bound)
    amount = _amount(reader)
    unit, scale = _unit(reader)
    written = Written(amount.value * scale, amount.step * scale, unit)
    if unit == "ft" and reader.next.kind in {"number", "vulgar", "dash"}:
        written = _feet_and_inches(reader, written)
    if reader.next.kind != "end":
        raise _leftover(reader)
    return _checked(written, reader)


def _amount(reader: _Reader) -> Written:
    """Read a number, a fraction, or both."""
    token = reader.take()
    if token.kind == "vulgar":
        return _vulgar(token)
    if token.kind != "number":
        right = f"write, for example, {reader.measure.example}"
        raise reader.fault("has no number here", token, right)
    if reader.next.kind == "slash":
        return _fraction(reader, token)
    whole = _number(reader, token)
    dashed = reader.next.kind == "dash"
    first, second = reader.ahead(1 if dashed else 0)
    if first == "vulgar" or (first, second) == ("number", "slash"):
        return _mixed(reader, whole, reader.take() if dashed else reader.next)
    if first == "number":
        what = "is a range" if dashed else "has two numbers"
        raise reader.fault(what, reader.next, "write one number, or a fraction such as 2 39/64")
    return whole


def _mixed(reader: _Reader, whole: Written, at: _Token) -> Written:
    """Read the fraction after a whole number; `at` is where it begins."""
    token = reader.take()
    part = _vulgar(token) if token.kind == "vulgar" else _fraction(reader, token)
    if whole.step != 1:
        raise reader.fault("mixes a decimal with a fraction", at, "write the one or the other")
    if part.value >= 1:
        raise reader.fault("has a fraction of 1 or more after a whole number", at, "write a fraction below 1")
    return Written(whole.value + part.value, part.step)


def _number(reader: _Reader, token: _Token) -> Written:
    """Read digits with at most one decimal mark."""
    whole, mark, decimals = token.text.replace(",", ".").partition(".")
    if not token.text.isascii():
        raise reader.fault(f"has small digits {token.text!r}", token, "use them in fractions only")
    if "." in decimals:
        right = "write the decimal mark only, such as 1234.5"
        raise reader.fault(f"has several marks in {token.text!r}", token, right)
    if "," in token.text and len(decimals) == 3 and 1 <= len(whole) <= 3 and whole[0] != "0":
        comma = token._replace(start=token.start + len(whole))
        right = f"write {whole}.{decimals} or {whole}{decimals}"
        raise reader.fault("has a comma that may mark decimals or thousands", comma, right)
    value = Fraction(f"{whole or '0'}.{decimals or '0'}" if mark else whole)
    return Written(value, Fraction(1, 10 ** len(decimals)))


def _fraction(reader: _Reader, over: _Token) -> Written:
    """Read the rest of a fraction whose numerator is `over`."""
    reader.take()
    under = reader.take()
    if under.kind != "number":
        raise reader.fault("has nothing below the fraction line", under, "write, for example, 1/2")
    top, bottom = (token.text.translate(_SMALL_DIGITS) for token in (over, under))
    for token, digits in ((over, top), (under, bottom)):
        if not digits.isdecimal():
            right = "write whole numbers above and below the fraction line"
            raise reader.fault(f"has {token.text!r} in a fraction", token, right)
    if int(bottom) == 0:
        raise reader.fault("divides by zero", under, "write, for example, 1/2")
    return Written(Fraction(int(top), int(bottom)), Fraction(1, int(bottom)))


def _vulgar(token: _Token) -> Written:
    value = Fraction(unicodedata.numeric(token.text)).limit_denominator(10)
    return Written(value, Fraction(1, value.denominator))


def _unit(reader: _Reader) -> tuple[str | None, Fraction]:
    """Read a unit, if there is one, and what the amount must be multiplied by to be in it."""
    token, measure = reader.next, reader.measure
    if token.kind not in {"word", "inch", "foot"} or token.text.casefold() in _BETWEEN | _UNTIL:
        return None, Fraction(1)
    reader.take()
    word = _MARKS.get(token.kind) or "".join(token.text.casefold().rstrip(".").split())
    if measure is LENGTH and word in THOUSANDTHS:
        return "in", Fraction(1, 1000)
    if word in measure.spellings:
        return measure.spellings[word], Fraction(1)
    others = [other.name for other in MEASURES if word in other.spellings]
    what = f"has {token.text!r}, a unit of {others[0]}" if others else f"has the unknown unit {token.text!r}"
    fault = reader.fault(what, token, f"use {measure.units}")
    raise ForeignUnit(fault.what, where=fault.where, right=fault.right)


def _feet_and_inches(reader: _Reader, feet: Written) -> Written:
    """Read the inches after feet; the sum is in inches."""
    dash = reader.take() if reader.next.kind == "dash" else None
    start = reader.next
    inches = _amount(reader)
    after = reader.next
    unit, scale = _unit(reader)
    if dash and unit != "in":
        raise reader.fault("is a range", dash, "write one length")
    if unit != "in" or scale != 1:
        raise reader.fault("has feet without inches after them", after, "write, for example, 4 ft 2 in")
    if feet.step != 1:
        raise reader.fault("has a part of a foot before the inches", start, "write whole feet, or feet only")
    if inches.value >= 12:
        raise reader.fault("has 12 inches or more after the feet", start, "write the inches that are left over")
    return Written(feet.value * 12 + inches.value, inches.step, "in")


def _leftover(reader: _Reader) -> BadInput:
    token = reader.next
    word, one = token.text.casefold(), f"write one {reader.measure.name}"
    if token.kind == "dash" or word in _UNTIL:
        return reader.fault("is a range", token, one)
    if token.kind in {"number", "vulgar"} or word in _BETWEEN:
        return reader.fault("has more than one value", token, one)
    right = f"{one}, such as {reader.measure.example}"
    return reader.fault(f"goes on with {token.text!r}", token, right)


def _checked(written: Written, reader: _Reader) -> Written:
    measure, first = reader.measure, reader.tokens[0]
    if written.value < 0 or (measure.smallest and written.value == 0):
        raise reader.fault("is negative" if written.value < 0 else "is zero", first, measure.bound)
    size = written.value * (measure.factors[written.unit] if written.unit else 1)
    if not measure.smallest <= size <= measure.largest:
        raise reader.fault("is out of bounds", first, _range(measure))
    return written


def _range(measure: Measure) -> str:
    low, high = float(measure.smallest), float(measure.largest)
    return f"a {measure.name} lies between {low:g} and {high:g} {measure.base}"
