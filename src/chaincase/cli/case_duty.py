"""What a case says of its duty, in words: main values, the verdict with its margins, what to mind."""

import textwrap
from collections.abc import Iterator
from typing import Final

from chaincase.case.found import Findings
from chaincase.documents.amounts import shown
from chaincase.duty.result import Result, Value

_WIDTH: Final = 98
_FEW: Final = 3
_QUESTIONS: Final = ("fits", "carries", "lasts")
_MAIN: Final = {
    "sprockets": (
        "pitch_mm", "roller_diameter_mm", "probability", "pitch_diameter_mm", "caliper_diameter_mm",
        "speed_variation_percent",
    ),
    "length": ("pitches", "chain_length_mm", "centers_mm", "take_up_left_mm"),
    "pull": (
        "pull_n", "strand_pull_n", "starting_strand_pull_n", "design_pull_n", "head_power_kw", "flow_t_per_h",
        "tensile_margin",
    ),
    "drive": ("choice", "design_power_kw", "capacity_kw", "margin", "chain_speed_m_per_s", "pull_n", "oiling"),
    "wear": ("elongation_percent", "limit_percent", "limit_on_early", "limit_on_middle", "take_up_left_mm"),
}  # fmt: skip
"""Values that are told of each question; `chaincase duty` and `--json` have them all."""


def duty_lines(found: Findings) -> Iterator[str]:
    """Give each answer about the duty, the verdict last, then once each what to mind about them."""
    for place, result in found.duty.items():
        if place == "verdict":
            yield from verdict_lines(result)
        else:
            yield _wrapped(f"Duty, {place}: {result.title}; {main_values(place, result)}.")
    told = dict.fromkeys(words for result in found.duty.values() for words in result.warnings)
    if told:
        yield "To mind about the duty:"
    for words in told:
        yield _wrapped(f"- {words[:1].upper()}{words[1:]}.", "  ")


def main_values(place: str, result: Result) -> str:
    """Give the main values of an answer in one line."""
    wanted = _MAIN.get(place.partition("[")[0], ())
    main = [value for name in wanted for value in result.values if value.name == name]
    return "; ".join(_told(value) for value in main or result.values[:_FEW])


def _told(value: Value) -> str:
    return f"{value.label} {shown(value.amount, value.unit)}"


def verdict_lines(result: Result) -> Iterator[str]:
    """Give the three answers of a verdict, each with its margin, its reason and what it hinges on."""
    said = {value.name: value for value in result.values}
    instead = f" instead of {said['old'].amount}" if "old" in said and said["old"].amount != result["candidate"] else ""
    yield _wrapped(f"Verdict on {result['candidate']}{instead}: {result['verdict']}.")
    for question in _QUESTIONS:
        yield _wrapped(f"It {question}: {_with_margin(said[question], said.get(f'{question}_margin'))}.", "  ")
        hinges = said.get(f"{question}_hinges_on")
        if hinges is not None:
            yield _wrapped(f"What matters most: {hinges.amount}.", "    ")


def _with_margin(said: Value, margin: Value | None) -> str:
    if margin is None:
        return f"{said.amount}; {said.note}"
    of = "" if said.note.startswith(margin.note) else f" ({margin.note})"
    return f"{said.amount}, smallest margin {margin.amount:.3g}{of}; {said.note}"


def duty_in_short(found: Findings) -> Iterator[str]:
    """Give pull, wear and verdict in a line each."""
    for place in ("pull", "drive", "wear"):
        if place in found.duty:
            yield _wrapped(f"{place.capitalize()}: {'; '.join(_short(place, found.duty[place]))}.")
    if found.verdict is not None:
        said = [f"{question} {_answer(found.verdict, question)}" for question in _QUESTIONS]
        yield _wrapped(f"Verdict: {'; '.join(said)}.")


def _short(place: str, result: Result) -> Iterator[str]:
    main = [value for name in _MAIN[place] for value in result.values if value.name == name]
    yield from (_told(value) for value in main[:_FEW])


def _answer(result: Result, question: str) -> str:
    margin = f"{question}_margin"
    return f"{result[question]}{f' (margin {result.number(margin):.3g})' if margin in result else ''}"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent=indent + "   ")
