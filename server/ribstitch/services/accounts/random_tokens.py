"""Tokens that nobody can guess, and what is kept of them."""

from __future__ import annotations

import secrets
from hashlib import sha256

_BYTES = 32
"""256 bits from the system's generator of secrets."""


def new_token(prefix: str = "") -> str:
    """Return a new random token, in letters that an address can hold."""
    return prefix + secrets.token_urlsafe(_BYTES)


def hash_of(token: str) -> str:
    """
    Return what is kept of a token: its SHA-256.

    One round without salt is enough for what is drawn from 2^256; and the database's search
    for the hash tells nothing about the token by the time it takes.
    """
    return sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
