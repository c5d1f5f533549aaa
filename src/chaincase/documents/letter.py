"""The question letter: what is still open, numbered, in plain words, with the small figures needed to answer."""

import textwrap
from base64 import b64encode
from dataclasses import dataclass
from html import escape
from typing import Any, Final

from chaincase.documents.paper import CAUTION, Heading, Paper, check_picture, day_in_words, heading_data
from chaincase.documents.pictures import png_of
from chaincase.documents.qr import code_of
from chaincase.documents.typesetting import printable, set_pdf

_WIDTH_PX: Final = 900


@dataclass(frozen=True, slots=True)
class Figure:
    """A small figure: SVG text, and what it shows."""

    svg: str
    caption: str


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to ask.

    Attributes
    ----------
    title, question : str
        In a few words, and to the customer in plain words.
    easiest : str
        Easiest way to find out.
    why : str
        What goes wrong if it is assumed.
    caution : str
        What must be minded while finding out.
    figures : tuple of Figure
        What helps to answer.
    """

    title: str
    question: str
    easiest: str = ""
    why: str = ""
    caution: str = ""
    figures: tuple[Figure, ...] = ()


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter to the person who asked.

    Attributes
    ----------
    heading : Heading
        Whose case it is.
    questions : tuple of Question
        What is asked, the gravest first.
    measures : bool
        Whether anything must be measured or looked at on the machine, which needs the caution.
    address : str
        Address that opens the case; empty for none.
    signed : str
        Who writes; empty leaves a line.
    """

    heading: Heading
    questions: tuple[Question, ...]
    measures: bool = True
    address: str = ""
    signed: str = ""

    @property
    def greeting(self) -> str:
        """How it begins; the name stands above, as nobody knows how it is spoken to."""
        return "Good day,"

    @property
    def opening(self) -> str:
        """The first paragraph."""
        about = f" ({self.heading.title})" if self.heading.title else ""
        if not self.questions:
            return f"Thank you for what you sent about the chain{about}. Nothing is open: we have all that we need."
        number = "one answer" if len(self.questions) == 1 else f"{len(self.questions)} answers"
        return (
            f"Thank you for what you sent about the chain{about}. So that the new chain fits the first time, we still"
            f" need {number} from you. If you cannot find something out, please say so; that helps us, too."
        )

    @property
    def closing(self) -> str:
        """The last paragraph."""
        if not self.questions:
            return "Please tell us if anything has changed."
        if len(self.questions) == 1:
            return "A short reply is enough; a photograph helps, but we cannot measure on it."
        return "A reply with the numbers is enough; a photograph helps, but we cannot measure on it."


def letter_pdf(letter: Letter, *, paper: Paper = "us-letter") -> bytes:
    """Give the letter as PDF.

    Raises
    ------
    BadInput
        If a figure refers to something outside itself, the address is none, or there is no such paper.
    """
    _check_figures(letter)
    data = heading_data(letter.heading, paper, "Questions about a chain") | {
        "greeting": letter.greeting,
        "opening": letter.opening,
        "closing": letter.closing,
        "questions": [_question(each) for each in letter.questions],
        "measures": letter.measures and bool(letter.questions),
        "signed": letter.signed,
        "address": letter.address,
        "code": code_of(letter.address),
    }
    return set_pdf("letter.typ", data)


def _question(each: Question) -> dict[str, Any]:
    figures = [{"svg": figure.svg, "caption": figure.caption} for figure in each.figures]
    words = {name: getattr(each, name) for name in ("title", "question", "easiest", "why", "caution")}
    return words | {"figures": figures}


def _check_figures(letter: Letter) -> None:
    for i, each in enumerate(letter.questions):
        for j, figure in enumerate(each.figures):
            check_picture(figure.svg, f"questions[{i}].figures[{j}]")


def letter_text(letter: Letter) -> str:
    """Give the letter as plain text for a mail, without figures.

    >>> from datetime import date
    >>> heading = Heading("the ash drag", "HV-103", "", date(2026, 3, 9))
    >>> print(letter_text(Letter(heading, (Question("Quantity", "How many strands do you need?"),), measures=False)))
    Subject: Questions about the chain, case HV-103
    <BLANKLINE>
    Good day,
    <BLANKLINE>
    Thank you for what you sent about the chain (the ash drag). So that the new chain fits the first time, we still
    need one answer from you. If you cannot find something out, please say so; that helps us, too.
    <BLANKLINE>
    1. Quantity
       How many strands do you need?
    <BLANKLINE>
    A short reply is enough; a photograph helps, but we cannot measure on it.
    <BLANKLINE>
    With kind regards
    <BLANKLINE>
    """

    def wrapped(text: str, indent: str = "") -> str:
        return "\n".join(
            textwrap.fill(line, 116, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False)
            for line in _one_line(text).splitlines() or [""]
        )

    to = [f"To: {_one_line(letter.heading.customer)}"] if letter.heading.customer else []
    parts = [f"Subject: {subject(letter)}", *to, wrapped(letter.greeting), wrapped(letter.opening)]
    for number, each in enumerate(letter.questions, start=1):
        block = [f"{number}. {_one_line(each.title)}", wrapped(each.question, "   ")]
        block += [wrapped(f"{label}: {text}", "   ") for label, text in _details(each)]
        parts.append("\n".join(block))
    parts += [wrapped(f"Caution: {CAUTION}")] if letter.measures and letter.questions else []
    parts += [f"The case on our pages: {letter.address}"] if letter.address else []
    parts += [wrapped(letter.closing), f"With kind regards\n{_one_line(letter.signed)}"]
    return "\n\n".join(str(printable(part)) for part in parts).rstrip("\n") + "\n"


def _details(each: Question) -> list[tuple[str, str]]:
    found = (("Easiest way", each.easiest), ("Why we ask", each.why), ("Caution", each.caution))
    return [(label, text) for label, text in found if text]


def _one_line(text: str) -> str:
    return " ".join(text.split())


def subject(letter: Letter) -> str:
    """Give the subject line of a mail."""
    case = f", case {_one_line(letter.heading.case)}" if letter.heading.case else ""
    return f"Questions about the chain{case}"


_STYLE: Final = "font:15px/1.45 Helvetica,Arial,sans-serif;color:#1b2126;max-width:680px;margin:0 auto;padding:16px"
_SOFT: Final = "color:#5b636b"


def letter_html(letter: Letter) -> str:
    """Give the letter as one HTML file for a mail: styles in the elements, figures inside as PNG, nothing fetched.

    Raises
    ------
    BadInput
        If a figure refers to something outside itself, or the address is none.
    """
    _check_figures(letter)
    code_of(letter.address)
    items = "\n".join(_html_question(each) for each in letter.questions)
    caution = f'<p style="border-left:3px solid #1d4e7a;padding-left:10px"><b>Caution</b> {_html(CAUTION)}</p>'
    link = f'<p><a href="{_html(letter.address)}">The case on our pages</a></p>' if letter.address else ""
    return f"""<!DOCTYPE html>
<html lang="en-US"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>{_html(subject(letter))}</title></head>
<body style="{_STYLE}">
<p style="{_SOFT};border-bottom:2px solid #1d4e7a;padding-bottom:4px">{_html(_line_of(letter.heading))}</p>
<p>{_html(letter.greeting)}</p>
<p>{_html(letter.opening)}</p>
<ol style="padding-left:22px">
{items}
</ol>
{caution if letter.measures and letter.questions else ""}
{link}
<p>{_html(letter.closing)}</p>
<p>With kind regards<br>{_html(letter.signed)}</p>
</body></html>
"""


def _line_of(heading: Heading) -> str:
    case = f"Case {heading.case}" if heading.case else "Questions about a chain"
    return ", ".join(
        part for part in (case, heading.title, heading.plant, heading.customer, day_in_words(heading.day)) if part
    )


def _html_question(each: Question) -> str:
    details = "".join(
        f'<br><span style="{_SOFT}">{_html(label)}:</span> {_html(text)}' for label, text in _details(each)
    )
    figures = "".join(
        f'<br><img style="max-width:100%;height:auto;margin-top:8px" width="450" alt="{_html(figure.caption)}"'
        f' src="data:image/png;base64,{b64encode(png_of(figure.svg, _WIDTH_PX)).decode()}">'
        for figure in each.figures
    )
    return f'<li style="margin:0 0 14px"><b>{_html(each.title)}</b><br>{_html(each.question)}{details}{figures}</li>'


def _html(text: str) -> str:
    return escape(str(printable(text)))
