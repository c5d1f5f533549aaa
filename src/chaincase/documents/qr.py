"""The square code that opens a case on a phone."""

from urllib.parse import urlsplit

import segno

from chaincase.errors import BadInput

LONGEST = 600
"""Characters of an address; a longer one makes a code too fine for a worn camera."""


def code_of(address: str, *, where: str = "address") -> str:
    """Give the code of an address as SVG, without its white border; an empty text for no address.

    Raises
    ------
    BadInput
        If it is no address of a page, or too long.

    >>> code_of("https://chains.example/cases/HV-102").count("<path"), code_of("")
    (1, '')
    """
    if not address:
        return ""
    try:
        parts = urlsplit(address)
        sound = parts.scheme in {"http", "https"} and bool(parts.hostname) and address.isprintable()
    except ValueError:
        sound = False
    if not sound or len(address) > LONGEST or " " in address:
        right = f"give one that begins with https:// or http://, without spaces, of at most {LONGEST} characters"
        raise BadInput(f"{address[:60]!r} is no address of a page", where=where, right=right)
    code = segno.make(address, micro=False, error="m")
    return str(code.svg_inline(border=0, omitsize=True, lineclass=None, svgclass=None)).replace(
        "<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1
    )
