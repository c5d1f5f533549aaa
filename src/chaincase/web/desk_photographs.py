"""Photographs of a case with marks on them, and why none of them is a ruler."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from chaincase.errors import BadInput
from chaincase.measuring.photograph import photograph_error
from chaincase.units import parse_length, show_length
from chaincase.web.desk_figure import entries_of


@dataclass(frozen=True, slots=True)
class PhotoMark:
    """A point on a photograph, in percent of its width and height, and what is to be seen there."""

    path: str
    x: float
    y: float
    note: str
    by: str


@dataclass(frozen=True, slots=True)
class ShownPhoto:
    """One photograph."""

    id: str
    path: str
    file: str
    shows: str
    by: str
    at: str
    marks: tuple[PhotoMark, ...]


@dataclass(frozen=True, slots=True)
class RulerError:
    """How wrong a length off a photograph is, in words; `fault` says what cannot be read."""

    seen: str = ""
    percent: str = ""
    words: str = ""
    fault: str = ""


def photographs(content: Mapping[str, Any]) -> tuple[ShownPhoto, ...]:
    """Give the photographs that a case names, in their order."""
    return tuple(_shown(each) for each in entries_of(content, "photographs"))


def _shown(entry: Mapping[str, Any]) -> ShownPhoto:
    name, digest = str(entry.get("id", "")), str(entry.get("sha256", "")).lower()
    marks = tuple(_mark(name, each) for each in entries_of(entry, "marks"))
    at = f"/api/v1/photographs/{digest}" if digest else ""
    file, shows, by = (str(entry.get(key, "")) for key in ("file", "shows", "by"))
    return ShownPhoto(name, f"photographs[{name}]", file, shows, by, at, marks)


def _mark(photo: str, entry: Mapping[str, Any]) -> PhotoMark:
    path = f"photographs[{photo}].marks[{entry.get('id', '')}]"
    x, y = (round(100 * _share(entry.get(axis)), 2) for axis in ("x", "y"))
    return PhotoMark(path, x, y, str(entry.get("note", "")), str(entry.get("by", "")))


def _share(value: Any) -> float:
    return min(max(float(value), 0.0), 1.0) if isinstance(value, int | float) else 0.0


def ruler_error(distance: str, nearer: str, tilt: str, length: str) -> RulerError:
    """Say how wrong a length scaled off a photograph would be.

    Parameters
    ----------
    distance, nearer, length : str
        From lens to ruler, by how much the part lies nearer, and how long it truly is; bare numbers are mm.
    tilt : str
        Of the part out of the plane of the picture [degrees].

    >>> ruler_error("500 mm", "20 mm", "10", "4 in").percent
    '2.6 % too long'
    >>> ruler_error("far", "20 mm", "10", "4 in").fault != ""
    True
    """
    try:
        far, near, true = (_millimeters(text) for text in (distance, nearer, length))
        share = photograph_error(far, near, _degrees(tilt), length_mm=true)
    except BadInput as fault:
        return RulerError(fault=str(fault))
    seen = true * (1.0 + share)
    side = "too long" if share >= 0 else "too short"
    words = f"A part that is truly {show_length(true)} would be taken for {show_length(seen)}."
    return RulerError(show_length(seen), f"{abs(share) * 100:.1f} % {side}", words)


def _millimeters(text: str) -> float:
    found = parse_length(text)
    return found.mm_if("mm")


def _degrees(text: str) -> float:
    try:
        return float(text.strip().rstrip("°").removesuffix("deg").replace(",", "."))
    except ValueError:
        raise BadInput(f"{text[:20]!r} is no angle", right="write degrees, like 10") from None
