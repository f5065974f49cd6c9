"""Currencies: the smallest amount of each that can be paid."""

from __future__ import annotations

_WITHOUT_CENTS = frozenset(
    {
        "BIF",
        "CLP",
        "DJF",
        "GNF",
        "ISK",
        "JPY",
        "KMF",
        "KRW",
        "PYG",
        "RWF",
        "UGX",
        "UYI",
        "VND",
        "VUV",
        "XAF",
        "XOF",
        "XPF",
    }
)
_IN_THOUSANDTHS = frozenset({"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"})
_DIGITS = {
    **dict.fromkeys(_WITHOUT_CENTS, 0),
    **dict.fromkeys(_IN_THOUSANDTHS, 3),
    "CLF": 4,
    "UYW": 4,
}
"""Decimal places of the minor unit where they are not two (ISO 4217, table A.1)."""


def minor_digits(currency: str) -> int:
    """Return the decimal places of a currency's minor unit: 2 for EUR, 0 for JPY."""
    return _DIGITS.get(currency, 2)
