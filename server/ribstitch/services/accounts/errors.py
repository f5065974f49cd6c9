"""What is refused about accounts; `str()` is one sentence for a person.

AccountError             a value, or that what is asked cannot be done as things are
├── SignInRefusedError   email, password or code do not fit
├── TooManyTriesError    too many of them did not fit
├── LinkRefusedError     a one-time link that is used, over, or none
├── NoAccountError       there is no such account, session or token
└── AccountStandsError   that cannot be done as things are
"""

from __future__ import annotations


class AccountError(Exception):
    """A value that is refused."""

    def __init__(self, field: str, reason: str) -> None:
        self.field = field
        super().__init__(f"{field}: {reason}" if field else reason)


class SignInRefusedError(AccountError):
    """Email, password or code do not fit: which of them is not said."""

    def __init__(self, sentence: str) -> None:
        super().__init__("", sentence)


class TooManyTriesError(AccountError):
    """Too many tries did not fit."""

    def __init__(self, seconds: int) -> None:
        self.seconds = seconds
        minutes = -(-seconds // 60)
        unit = "minute" if minutes == 1 else "minutes"
        super().__init__("", f"Too many tries did not fit: try again in {minutes} {unit}.")


class LinkRefusedError(AccountError):
    """A one-time link that lets nobody in."""

    def __init__(self) -> None:
        super().__init__(
            "", "This link was used, or is over, or never was one: ask for another one."
        )


class NoAccountError(AccountError):
    """There is no such thing."""

    def __init__(self, what: str) -> None:
        super().__init__("", f"There is no {what}.")


class AccountStandsError(AccountError):
    """That cannot be done as things are."""

    def __init__(self, sentence: str) -> None:
        super().__init__("", sentence)
