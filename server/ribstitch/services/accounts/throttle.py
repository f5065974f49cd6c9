"""How often a sign-in may fail before the next try has to wait."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from math import ceil
from typing import Final

from ribstitch.services.accounts.errors import TooManyTriesError
from ribstitch.services.accounts.random_tokens import hash_of
from ribstitch.store import Accounts, Store
from ribstitch.store.tables import SignInTryRow

KEPT: Final = timedelta(days=1)
FIRST_WINDOW: Final = timedelta(minutes=15)
LONGEST_WINDOW: Final = timedelta(hours=1)
PER_ACCOUNT: Final = 5
PER_ADDRESS: Final = 30


def seconds_to_wait(failures: Sequence[datetime], most: int, now: datetime) -> int:
    """
    Return how long the next try has to wait; 0: not at all. [s]

    `most` tries may fail within a window. It begins with a quarter of an hour and doubles
    with every further `most` failures, up to an hour.

    Parameters
    ----------
    failures
        When tries failed within a day, oldest first.
    most
        How many may fail within the window.
    now
        When the next try is made.
    """
    if len(failures) < most:
        return 0
    doublings = min(len(failures) // most - 1, 8)
    window: timedelta = min(FIRST_WINDOW * (1 << doublings), LONGEST_WINDOW)
    left = failures[-most] + window - now
    return max(0, ceil(left.total_seconds()))


def begin_try(store: Store, email: str, address: str, now: datetime) -> int:
    """
    Count a try to sign in as failed, until `succeed` says otherwise; return its number.

    Whether there is such an account does not matter: who guesses learns nothing.

    Raises
    ------
    TooManyTriesError
        If too many failed; this one is not counted.
    """
    who = hash_of(email)
    with store.accounts(writes=True) as accounts:
        accounts.keep_tries_apart()
        accounts.forget_tries(now - KEPT)
        waits = (
            seconds_to_wait(accounts.failures_of(who, now - KEPT), PER_ACCOUNT, now),
            seconds_to_wait(accounts.failures_from(address, now - KEPT), PER_ADDRESS, now),
        )
        if max(waits):
            raise TooManyTriesError(max(waits))
        row = SignInTryRow(at=now, who=who, address=address, succeeded=False)
        accounts.add(row)
    return row.number or 0


def succeed(accounts: Accounts, number: int) -> None:
    """Let a try count as one that succeeded: with it the failures before are forgotten."""
    row = accounts.sign_in_try(number)
    if row is not None:
        row.succeeded = True


def pass_over(accounts: Accounts, number: int) -> None:
    """Let a try count as none: the password fitted, and the second factor is still to come."""
    row = accounts.sign_in_try(number)
    if row is not None:
        accounts.remove(row)
