"""Currencies: which there are, and the smallest amount of each that can be paid.

ISO 4217, table A.1 (current currencies and funds) as published on 2026-01-01. What the
table lists without a minor unit, such as gold or the code for tests, is no currency here:
no amount of it could be rounded. Nor are currencies of the past.
"""

from __future__ import annotations

_BY_DIGITS = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    2: """
        AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN
        BZD CAD CDF CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD
        FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW
        KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR
        MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG
        SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD
        USN UYU UZS VED VES WST XAD XCD XCG YER ZAR ZMW ZWG
    """,
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
DIGITS = {code: digits for digits, codes in _BY_DIGITS.items() for code in codes.split()}
"""Decimal places of the minor unit of each current currency, by code."""


def minor_digits(currency: str) -> int:
    """
    Return the decimal places of a currency's minor unit: 2 for EUR, 0 for JPY.

    2 as well for a code that is no longer current: old plans keep theirs.
    """
    return DIGITS.get(currency, 2)
