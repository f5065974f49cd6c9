"""Currencies against table A.1 of ISO 4217, as the package iso4217 ships it.

The package carries the maintenance agency's own file, so the whole table is compared: when
a newer one is installed and a currency has come or gone, this test says which.
"""

from __future__ import annotations

from iso4217 import Currency

from ribstitch.money.currencies import DIGITS, minor_digits


def test_currencies_and_their_decimal_places_are_those_of_iso_4217() -> None:
    published = {one.code: one.exponent for one in Currency if one.exponent is not None}
    assert len(published) > 150
    assert published == DIGITS


def test_codes_that_iso_4217_lists_without_a_minor_unit_are_no_currencies() -> None:
    """Gold, silver, units of bond markets, special drawing rights, tests, and none at all."""
    units = {one.code for one in Currency if one.exponent is None}
    assert {"XAU", "XAG", "XBA", "XDR", "XTS", "XXX"} <= units
    assert units.isdisjoint(DIGITS)


def test_old_plans_keep_their_currency_with_two_decimal_places() -> None:
    assert minor_digits("DEM") == 2
