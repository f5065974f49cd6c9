"""Names and emails as they are kept."""

from __future__ import annotations

import re

from ribstitch.services.accounts.errors import AccountError

_EMAIL = re.compile(r"[^@\s\x00-\x20]+@[^@\s\x00-\x20]+")
_LONGEST_EMAIL = 254
_LONGEST_NAME = 80


def email_of(given: str) -> str:
    """
    Return an email as it is kept: in small letters.

    Raises
    ------
    AccountError
        If it is none. Only a message that arrives shows that it is somebody's.
    """
    email = given.strip().lower()
    if len(email) > _LONGEST_EMAIL or not _EMAIL.fullmatch(email):
        raise AccountError("email", f'"{given[:60]}" is no email, such as lead@hangar.example')
    return email


def name_of(given: str) -> str:
    """
    Return a name as it is kept.

    Raises
    ------
    AccountError
        If nothing stands there, or more than one line.
    """
    name = given.strip()
    if not 1 <= len(name) <= _LONGEST_NAME or not name.isprintable():
        raise AccountError("name", f"needs one line of 1 to {_LONGEST_NAME} signs")
    return name
