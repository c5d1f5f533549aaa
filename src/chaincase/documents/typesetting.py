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


def set_pdf(template: str, data: Mapping[str, Any]) -> bytes:
    """Give the PDF of a packaged template filled with plain data; the same data give the same bytes.

    Only the packaged fonts and those built into the typesetter are used, so that every machine prints alike.

    Raises
    ------
    ChaincaseError
        If the typesetter refuses; nothing is written.
    """
    inputs = {"data": json.dumps(printable(data), allow_nan=False)}
    try:
        pdf = typst.compile(
            HERE / template,
            root=HERE,
            font_paths=[FONTS],
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs=inputs,
            timestamp=0,
        )
    except (typst.TypstError, RuntimeError) as fault:
        raise ChaincaseError(f"{template} could not be set: {fault}") from fault
    return bytes(pdf)
