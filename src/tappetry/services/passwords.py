"""Passwords: what a good one is, and the mark that is kept in its place."""

from __future__ import annotations

from functools import cached_property
from threading import Semaphore

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from tappetry.records.problems import BadInput, Where

SHORTEST, LONGEST = 12, 128
#: Each check takes 64 MiB; so many are made at once.
AT_ONCE = 2
#: What many people take once twelve signs are asked for; from memory.
COMMON = (
    "password", "qwertyuiop", "123456", "1q2w3e4r", "abcdefgh", "letmein", "welcome", "iloveyou",
    "changeme", "administrator", "superman", "football", "baseball", "dragon", "monkey",
    "sunshine", "princess",
)  # fmt: skip
#: In how many different signs a good one is written.
DIFFERENT = 6


class Passwords:
    """Makes and checks marks of passwords by Argon2id (RFC 9106)."""

    def __init__(self, hasher: PasswordHasher | None = None) -> None:
        self._hasher = hasher or PasswordHasher()
        self._turn = Semaphore(AT_ONCE)

    @cached_property
    def _nobody(self) -> str:
        return self._hasher.hash("a password that nobody has")

    def mark(self, password: str) -> str:
        """The mark of a password."""
        with self._turn:
            return self._hasher.hash(password)

    def fits(self, mark: str | None, password: str) -> bool:
        """Whether a password has a mark; where there is no account, it takes as long to say no."""
        with self._turn:
            try:
                self._hasher.verify(mark or self._nobody, password)
            except (VerificationError, InvalidHashError):
                return False
        return mark is not None

    def is_old(self, mark: str) -> bool:
        """Whether a mark was made with other settings than those of today."""
        return self._hasher.check_needs_rehash(mark)


def must_be_good(password: str, name: str, shop: str) -> None:
    """Refuse a password that is easily guessed.

    Raises
    ------
    BadInput
        It is too short or too long, has too few different signs, or holds a common word or a name.
    """
    low = password.lower()
    names = [each for each in (name.lower(), *shop.lower().split()) if len(each) >= 4]
    if not SHORTEST <= len(password) <= LONGEST:
        said = f"it has {len(password)} signs"
    elif len(set(low)) < DIFFERENT:
        said = f"it is written in {len(set(low))} different signs"
    elif any(each in low for each in names):
        said = "it holds the name of the account or of the shop"
    elif any(each in low for each in COMMON):
        said = "it holds a word that is tried first"
    else:
        return
    expected = (
        f"{SHORTEST} to {LONGEST} signs, at least {DIFFERENT} different ones, without common words or names; "
        "four or five words that do not belong together are easy to remember"
    )
    raise BadInput.at(Where("password"), f"the password is not taken: {said}", "", expected)
