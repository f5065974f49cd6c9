"""Passwords: argon2id hashes, and which passwords are too easy to guess."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import cached_property
from threading import BoundedSemaphore
from typing import Final

from pwdlib import PasswordHash
from pwdlib.exceptions import UnknownHashError
from pwdlib.hashers.argon2 import Argon2Hasher

from ribstitch.services.accounts.errors import AccountError
from ribstitch.services.accounts.random_tokens import new_token

FEWEST: Final = 12
MOST: Final = 128
_MOST_JUDGED = 72
"""The estimator takes no longer passwords; 72 signs tell enough."""
_STRONG = 3
"""Of 0 to 4: safe where guesses are slow, and takes a long time where they are fast."""
_AT_ONCE = 2
"""Hashes computed at once: each takes tens of megabytes."""


class Passwords:
    """
    Makes and checks hashes of passwords, a few at a time.

    Parameters
    ----------
    hasher
        How they are made; argon2id with the library's own costs, if not given.
    """

    def __init__(self, hasher: Argon2Hasher | None = None) -> None:
        self._hash = PasswordHash((hasher or Argon2Hasher(),))
        self._turns = BoundedSemaphore(_AT_ONCE)

    @cached_property
    def _nobodys(self) -> str:
        """The hash of a password that nobody knows; made when it is needed first."""
        return self._hash.hash(new_token())

    def hash(self, password: str) -> str:
        """Return the hash of a password, with a salt of its own."""
        with self._turns:
            return self._hash.hash(_normal(password))

    def fits(self, password: str, kept: str | None) -> bool:
        """
        Return whether a password is the one whose hash is kept.

        Where none is kept it takes as long as where one is, so that the time does not tell
        whether somebody has an account.
        """
        with self._turns:
            nobodys = self._nobodys
            try:
                fits = self._hash.verify(_normal(password)[: MOST * 4], kept or nobodys)
            except UnknownHashError:
                return False
        return fits and kept is not None


def check_password(password: str, about: Sequence[str], field: str = "password") -> None:
    """
    Refuse a password that is short, long, or easy to guess.

    No kinds of signs are asked for. How easy it is to guess is estimated from common
    passwords, words, names, dates and keyboard rows, and from what is known `about` the
    account. The password itself is never part of the sentence.

    Raises
    ------
    AccountError
        If it is refused.
    """
    from zxcvbn import zxcvbn

    normal = _normal(password)
    if not FEWEST <= len(normal) <= MOST:
        raise AccountError(field, f"has {len(normal)} signs, and needs {FEWEST} to {MOST}")
    known = [*about, *(part for one in about for part in one.replace("@", " ").split())]
    told = zxcvbn(normal[:_MOST_JUDGED], user_inputs=[*known, "ribstitch"])
    if told["score"] < _STRONG:
        raise AccountError(
            field, "is too easy to guess; several words that do not belong together are not"
        )


def _normal(password: str) -> str:
    """Return a password as it is hashed: however a keyboard composed its letters (NFKC)."""
    return unicodedata.normalize("NFKC", password)
