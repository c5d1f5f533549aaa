"""What may reach a terminal."""


def printable(text: str, keep: str = "\n") -> str:
    """Keep control characters of a hostile file or text from reaching the terminal; those in `keep` stay.

    >>> printable("a" + chr(27) + "[31mb") == "a" + chr(0xFFFD) + "[31mb"
    True
    """
    return "".join(c if c.isprintable() or c in keep else "\N{REPLACEMENT CHARACTER}" for c in text)
