"""Short texts that only this server can have written: invitations, links, and what must survive a trip elsewhere."""

from typing import Any, Final

from itsdangerous import BadData, URLSafeTimedSerializer

INVITATION: Final = "invitation"
LINK: Final = "link"
DEVICE: Final = "device"
ELSEWHERE: Final = "sign-in elsewhere"


def signed(secret: str, purpose: str, content: Any) -> str:
    """Give a text with its signature; what was signed for one purpose is worth nothing for another.

    >>> opened("s" * 32, "link", signed("s" * 32, "link", "a1"), 60)
    'a1'
    >>> opened("s" * 32, "invitation", signed("s" * 32, "link", "a1"), 60) is None
    True
    """
    return URLSafeTimedSerializer(secret, salt=f"chaincase {purpose}").dumps(content)


def opened(secret: str, purpose: str, text: str, lasts: int) -> Any | None:
    """Give what was signed; None if the signature is wrong or older than it lasts [s]."""
    if len(text) > 8192:
        return None
    try:
        return URLSafeTimedSerializer(secret, salt=f"chaincase {purpose}").loads(text, max_age=lasts)
    except BadData:
        return None
