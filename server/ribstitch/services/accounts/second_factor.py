"""The second factor: codes by time (RFC 6238) and codes to recover with."""

from __future__ import annotations

import base64
import hmac
import secrets
from collections.abc import Sequence
from datetime import datetime

import pyotp

from ribstitch.services.accounts.random_tokens import hash_of

SECONDS = 30
"""How long a code lasts. [s]"""
_STEPS_OFF = 1
"""How many codes earlier or later than the clock's is taken: clocks differ."""
_RECOVERY_CODES = 10
_RECOVERY_BYTES = 15
"""120 bits each: too many to be found from their hashes."""


def new_secret() -> str:
    """Return a new secret of 160 bits, in base 32."""
    return pyotp.random_base32()


def address_of(secret: str, email: str) -> str:
    """Return what an authenticator app reads from the picture."""
    return pyotp.TOTP(secret).provisioning_uri(name=email, issuer_name="Ribstitch")


def picture_of(address: str) -> str:
    """Return an address as a QR code: a picture that stands in an `img` (SVG)."""
    import segno

    return str(segno.make(address, error="m").svg_data_uri(scale=6, border=4))


def step_of(now: datetime) -> int:
    """Return the number of the 30 seconds in which an instant lies, counted since 1970."""
    return int(now.timestamp()) // SECONDS


def fitting_step(secret: str, code: str, now: datetime, last_step: int) -> int | None:
    """
    Return the 30 seconds whose code was given; None if it fits none that may be used.

    Parameters
    ----------
    secret
        In base 32.
    code
        Six digits; spaces do not matter.
    now
        By the service's clock.
    last_step
        The last one that was used: it and those before are used up.
    """
    given = "".join(code.split())
    codes = pyotp.TOTP(secret, interval=SECONDS)
    found = None
    for step in range(step_of(now) - _STEPS_OFF, step_of(now) + _STEPS_OFF + 1):
        fits = hmac.compare_digest(codes.at(step * SECONDS).encode(), given.encode())
        if fits and step > last_step:
            found = step
    return found


def new_recovery_codes() -> list[str]:
    """Return codes that each let somebody in once who has lost the app."""
    return [_recovery_code() for _ in range(_RECOVERY_CODES)]


def hash_of_recovery(code: str) -> str:
    """Return what is kept of a recovery code; spaces, dashes and capitals do not matter."""
    return hash_of("".join(sign for sign in code.lower() if sign.isalnum()))


def without_code(hashes: Sequence[str], code: str) -> list[str] | None:
    """Return the hashes that are left when a code was used; None if it is none of them."""
    used = hash_of_recovery(code)
    left = [one for one in hashes if not hmac.compare_digest(one, used)]
    return None if len(left) == len(hashes) else left


def _recovery_code() -> str:
    signs = base64.b32encode(secrets.token_bytes(_RECOVERY_BYTES)).decode().lower()
    return "-".join(signs[at : at + 4] for at in range(0, len(signs), 4))
