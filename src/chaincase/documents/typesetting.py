"""Typst, fed with data: the templates are ours, and what users wrote reaches them as JSON, never as markup."""

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import typst

from chaincase.errors import ChaincaseError

HERE = Path(__file__).parent
FONTS = HERE / "fonts"
PRELUDE = "paper.typ"
"""The look that all templates share."""
# Control characters, halves of surrogate pairs, and marks that turn the reading direction and so hide what is written.
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


def printable(value: Any) -> Any:
    r"""Give plain data with every character that cannot be printed shown as a replacement mark.

    >>> printable({"a": ["tab\tstays", "bell\a"]})
    {'a': ['tab\tstays', 'bell�']}
    """
    if isinstance(value, str):
        return _CONTROL.sub("\N{REPLACEMENT CHARACTER}", value)
    if isinstance(value, Mapping):
        return {key: printable(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [printable(item) for item in value]
    return value


def set_pdf(template: str, data: Mapping[str, Any], pictures: Mapping[str, bytes] | None = None) -> bytes:
    """Give the PDF of a packaged template filled with plain data; the same data give the same bytes.

    Only the packaged fonts and those built into the typesetter are used, so that every machine prints alike.

    Parameters
    ----------
    template : str
        Name of the template.
    data : mapping
        What it reads as `sys.inputs.data`, as JSON.
    pictures : mapping of str to bytes, optional
        SVG files by the name under which the template asks for them; they stand in memory only.

    Raises
    ------
    ChaincaseError
        If the typesetter refuses; nothing is written.
    """
    return _compiled(template, data, pictures or {}, format="pdf", timestamp=0)


def set_png(template: str, data: Mapping[str, Any], ppi: float) -> bytes:
    """Give a packaged template of one page, filled with plain data, as PNG.

    Parameters
    ----------
    template : str
        Name of the template.
    data : mapping
        What it reads as `sys.inputs.data`, as JSON.
    ppi : float
        Pixels per inch of paper.

    Raises
    ------
    ChaincaseError
        If the typesetter refuses.
    """
    return _compiled(template, data, {}, format="png", ppi=ppi)


def _compiled(template: str, data: Mapping[str, Any], pictures: Mapping[str, bytes], **output: Any) -> bytes:
    inputs = {"data": json.dumps(printable(data), allow_nan=False)}
    files = {name: (HERE / name).read_bytes() for name in (PRELUDE, template)}
    try:
        made = typst.compile(
            {"main": files.pop(template), **files, **pictures},
            font_paths=[FONTS],
            ignore_system_fonts=True,
            sys_inputs=inputs,
            **output,
        )
    except (typst.TypstError, RuntimeError) as fault:
        raise ChaincaseError(f"{template} could not be set: {fault}") from fault
    if not isinstance(made, bytes):
        raise ChaincaseError(f"{template} could not be set: it has several pages")
    return made
