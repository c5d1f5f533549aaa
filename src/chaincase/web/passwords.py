"""Passwords: argon2id, never in the clear, never too many at once.

Cost: the least that the OWASP password storage cheat sheet names for argon2id, 19 MiB, two passes, one lane.
"""

from functools import cache
from typing import Final

from anyio.to_thread import run_sync
from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError

from chaincase.errors import BadInput
from chaincase.web.limits import limiter

LEAST, MOST_BYTES = 12, 1024
"""Characters a password has at least, and bytes at most."""
AT_ONCE: Final = 2
"""So many are worked out at a time, whoever asks."""
_COMMON: Final = (
    "123456789012 1234567890123 12345678901234 123123123123 111111111111 000000000000 121212121212 987654321098 "
    "password1234 password12345 password123456 passwordpassword password2024 password2025 password2026 "
    "qwertyuiop12 qwertyuiop123 qwertyuiopas qwerty123456 qwertyqwerty asdfghjkl123 asdfasdfasdf zxcvbnm12345 "
    "1qaz2wsx3edc q1w2e3r4t5y6 abcdefghijkl abcdefgh1234 abc123abc123 letmeinplease letmein12345 iloveyou1234 "
    "iloveyouforever administrator administrator1 adminadminadmin admin1234567 changemenow1 changeme1234 "
    "welcome12345 welcome123456 trustno1trustno1 correcthorsebatterystaple thisisapassword mypassword123 "
    "secretsecret secretpassword maintenance1 maintenance123 conveyor1234 conveyorchain chainchainchain "
    "sprocket1234 engineering1 engineering123 summer202526 winter202526 football1234 baseball1234 superman1234 "
    "monkeymonkey dragon123456 sunshine1234 princess1234 computer1234 internet1234 whatever1234 starwars1234"
)
_REFUSED: Final = frozenset(_COMMON.split())
_hasher: Final = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)


def check_password(password: str, *own: str) -> None:
    """Refuse a password that is easy to guess; `own` are words about the person, such as the address.

    Raises
    ------
    BadInput
        If it is short, long, common, or made of one's own name.
    """
    right = f"use {LEAST} characters or more; a few words that do not belong together are best"
    plain = "".join(password.casefold().split())
    if len(password) < LEAST:
        raise BadInput(f"the password has {len(password)} characters", where="password", right=right)
    if len(password.encode()) > MOST_BYTES:
        raise BadInput("the password is too long", where="password", right=f"use at most {MOST_BYTES} bytes")
    if plain in _REFUSED or len(set(plain)) < 5:
        raise BadInput("this password is among the first that are tried", where="password", right=right)
    if any(len(word) > 3 and plain.strip("0123456789!.") == "".join(word.casefold().split()) for word in own):
        raise BadInput("the password is the name or address", where="password", right=right)


async def hashed(password: str) -> str:
    """Give what is stored of a password."""
    return await run_sync(_hasher.hash, password, limiter=limiter("passwords", AT_ONCE))


async def matches(password: str, stored: str) -> bool:
    """Say whether a password is the right one; takes as long where there is none stored, so that nothing shows."""
    return await run_sync(_matches, password[:MOST_BYTES], stored, limiter=limiter("passwords", AT_ONCE))


def _matches(password: str, stored: str) -> bool:
    usable = bool(stored) and len(password.encode()) <= MOST_BYTES
    try:
        _hasher.verify(stored if usable else _nobodys(), password if usable else "nobody")
    except (Argon2Error, InvalidHashError):
        return False
    return usable


@cache
def _nobodys() -> str:
    return _hasher.hash("a password of nobody")
