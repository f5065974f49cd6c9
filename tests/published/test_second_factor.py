"""Codes by time against the values of RFC 6238, appendix B (SHA-1)."""

from __future__ import annotations

import base64
from datetime import UTC, datetime, timedelta

import pytest

from ribstitch.services.accounts.second_factor import fitting_step

SECRET = base64.b32encode(b"12345678901234567890").decode()
"""The appendix's own."""
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@pytest.mark.parametrize(
    ("seconds", "eight_digits"),
    [
        (59, "94287082"),
        (1111111109, "07081804"),
        (1111111111, "14050471"),
        (1234567890, "89005924"),
        (2000000000, "69279037"),
        (20000000000, "65353130"),
    ],
)
def test_code_of_the_standard_fits_the_half_minute_of_its_time(
    seconds: int, eight_digits: str
) -> None:
    """The appendix gives eight digits; the last six of them are the code of six."""
    now = EPOCH + timedelta(seconds=seconds)
    assert fitting_step(SECRET, eight_digits[2:], now, 0) == seconds // 30
    wrong = f"{(int(eight_digits[2:]) + 1) % 1_000_000:06}"
    assert fitting_step(SECRET, wrong, now, 0) is None
