"""Names that are made anywhere without asking, and moments as they are stored."""

import secrets
import threading
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from chaincase.errors import BadInput

Clock = Callable[[], datetime]

_lock = threading.Lock()
_last = 0


def utc_now() -> datetime:
    """Give the time in UTC."""
    return datetime.now(UTC)


def uuid7(now: datetime | None = None) -> str:
    """Give a new UUID of version 7 (RFC 9562, section 5.7): milliseconds, then chance; later ones sort behind.

    Within one process they also sort when the clock stands or goes back, as the 12 bits behind the
    milliseconds count on (RFC 9562, section 6.2, method 1).

    >>> first, second = uuid7(), uuid7()
    >>> first < second, UUID(first).version
    (True, 7)
    """
    global _last  # noqa: PLW0603 - the order of names is a property of the process
    milliseconds = int((now or utc_now()).timestamp() * 1000)
    with _lock:
        _last = max(milliseconds << 12, _last + 1)
        stamp = _last
    number = (stamp >> 12) << 80 | 7 << 76 | (stamp & 0xFFF) << 64 | 2 << 62 | secrets.randbits(62)
    return str(UUID(int=number))


def moment(at: datetime) -> str:
    """Give a moment as it is stored: UTC, microseconds, so that the order of texts is that of time.

    >>> moment(datetime(2026, 3, 1, 7, 30, tzinfo=UTC))
    '2026-03-01T07:30:00.000000Z'
    """
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def end_of(day: date | str) -> str:
    """Give the first moment after a day (UTC).

    Raises
    ------
    BadInput
        If it is no day.

    >>> end_of("2026-03-01")
    '2026-03-02T00:00:00.000000Z'
    """
    try:
        found = date.fromisoformat(day) if isinstance(day, str) else day
        after = found + timedelta(days=1)
    except (ValueError, OverflowError):
        raise BadInput(f"{day!r} is not a day", where="day", right="write it as 2026-03-01") from None
    return moment(datetime(after.year, after.month, after.day, tzinfo=UTC))
