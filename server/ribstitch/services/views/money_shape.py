"""What the money page shows: the shape of it, all amounts as decimal strings.

Unless a field says otherwise, amounts are in the project's currency. Those of one line
add up, to the last minor unit: paid, invoiced, worked, committed and expected to what it
costs at completion; the lines of each table to its total.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Flag:
    """Something about a line that is worth a look; nothing is refused for it."""

    of: str
    """Id of the cost line, task or entry."""
    sentence: str


@dataclass(frozen=True, slots=True)
class LikelyCost:
    """What it costs in the end with a chance of 5 and of 8 in 10."""

    p50: str
    p80: str
    sentence: str
    """What the former adds to the cost as written, and what for."""


@dataclass(frozen=True, slots=True)
class PriceGrowth:
    """What prices may grow by until the vendors have looked inside."""

    amount: str
    """On average; part of what is expected. Negative: such prices have fallen as a rule."""
    sentence: str


@dataclass(frozen=True, slots=True)
class ChapterMoney:
    """Money of one chapter, from what is paid to what is still expected."""

    chapter: str
    """Two digits; empty: of no chapter, such as standing cost."""
    title: str
    is_agreed: bool
    """Whether it can be held against a budget; not where only the whole project has one."""
    budget: str
    paid: str
    invoiced: str
    worked: str
    committed: str
    expected: str
    at_completion: str
    over: str
    """At completion less the budget; negative: under it."""


@dataclass(frozen=True, slots=True)
class VendorMoney:
    """Money of one vendor."""

    vendor: str
    name: str
    paid: str
    invoiced: str
    committed: str
    expected: str
    at_completion: str


@dataclass(frozen=True, slots=True)
class CurrencyMoney:
    """What is still to be paid in a foreign currency."""

    currency: str
    open: str
    """In that currency."""
    worth: str | None
    """None without a rate."""
    five_percent: str | None
    """How much dearer it gets if the currency rises by 5 %."""


@dataclass(frozen=True, slots=True)
class EarnedMonth:
    """Running totals at the end of a month."""

    month: str
    """As 2026-10."""
    pv: str
    ev: str | None
    """None in the future."""
    ac: str | None


@dataclass(frozen=True, slots=True)
class EstimateLine:
    """One way to estimate the cost at completion, and why it differs from the others."""

    name: str
    amount: str | None
    """None where it cannot be formed yet."""
    sentence: str


@dataclass(frozen=True, slots=True)
class Earned:
    """Earned value against the newest baseline, in the terms of the open standard."""

    as_of: date
    baseline: str
    bac: str
    """Budget at completion."""
    pv: str
    """Planned value: budget of what was to be done by now."""
    ev: str
    """Earned value: budget of what is done."""
    ac: str
    """Actual cost: paid, invoiced and worked."""
    cv: str
    """Cost variance: EV less AC."""
    sv: str
    """Schedule variance: EV less PV."""
    cpi: float | None
    """Cost performance index: EV / AC."""
    spi: float | None
    """Schedule performance index: EV / PV."""
    eac: str | None
    """Estimate at completion: BAC / CPI."""
    etc: str | None
    """Estimate to complete: EAC less AC."""
    vac: str | None
    """Variance at completion: BAC less EAC."""
    tcpi: float | None
    """To-complete performance index, to the budget."""
    es_months: float | None
    """Earned schedule: when what is earned was to be earned. [months from the start]"""
    svt_months: float | None
    """Schedule variance in time; negative is behind. [months]"""
    spit: float | None
    """Schedule performance index in time: months earned for each month gone by."""
    finish_by_pace: date | None
    """When it is finished at this pace."""
    estimates: list[EstimateLine]
    months: list[EarnedMonth]
    sentences: list[str]
    """What keeps the figures from being compared like with like, such as dropped work."""


@dataclass(frozen=True, slots=True)
class CurrencyAmount:
    """An amount in one currency."""

    currency: str
    amount: str


@dataclass(frozen=True, slots=True)
class CashMonth:
    """Money that is needed and comes in, in one month."""

    month: str
    committed: str
    likely: str
    """Together with all that is expected; committed is part of it."""
    possible: str | None
    """In a dear and late course; None while that is not known."""
    funding: str
    balance: str | None
    """Left on the account at the end of the month, if it goes as likely; None: unknown."""
    committed_in: list[CurrencyAmount]
    """What is committed, in the currencies that it is paid in."""
    likely_in: list[CurrencyAmount]
    """What is likely, likewise; what is scaled to the likely cost is scaled in each of them."""
    possible_in: list[CurrencyAmount]
    """What is possible, likewise; empty while that is not known."""


@dataclass(frozen=True, slots=True)
class Dry:
    """The first month in which the account falls below zero."""

    month: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence for a person."""

    sentence: str


@dataclass(frozen=True, slots=True)
class Cash:
    """What has to be found, month by month from the as-of date."""

    months: list[CashMonth]
    on_account: str | None
    """At the as-of date; None: nobody said."""
    overdue: str
    """Was due before the as-of date, and is needed in the first month."""
    dry: Dry | None
    lasts: Sentence
    """How long the account lasts."""
    next: Sentence
    """What is needed next."""


@dataclass(frozen=True, slots=True)
class AskedDecision:
    """An over-and-above item that waits for the owner's yes."""

    key: str
    name: str
    asked_on: date
    amount: str
    currency: str
    """In which the amount is."""
    hours: str
    sentence: str
    version: int
    """Send it as If-Match with the decision."""


@dataclass(frozen=True, slots=True)
class DelayMonth:
    """What a month more costs."""

    amount: str
    sentence: str


@dataclass(frozen=True, slots=True)
class MoneyView:
    """The money page."""

    currency: str
    as_of: date
    plan_version: int
    budget: str | None
    """Contingency included; None without one, or where a currency has no rate."""
    contingency: str
    """Part of the budget that is kept back."""
    contingency_left: str
    """After what is approved over and above."""
    spent: str
    """Paid, and worked in the shop."""
    committed: str
    """Invoiced and not paid, or ordered; what is invoiced is actual cost of earned value too."""
    expected: str
    """All that is still to come and not ordered."""
    at_completion: str
    """Spent, committed and expected: the forecast from the cost lines and the schedule."""
    allowance: str
    """Part of what is expected: work not yet found in zones that are not opened."""
    price_growth: PriceGrowth | None
    """Part of what is expected too; None where no price is open."""
    likely: LikelyCost | None
    """None while it is simulated, or without rates."""
    why: list[str]
    """What was approved over and above, and which prices moved most, a sentence each."""
    missing: list[str]
    """What is left out of the totals, and why."""
    flags: list[Flag]
    chapters: list[ChapterMoney]
    vendors: list[VendorMoney]
    currencies: list[CurrencyMoney]
    earned: Earned | None
    """None without a baseline."""
    earned_missing: str | None
    """One sentence, where there is none."""
    cash: Cash
    decisions: list[AskedDecision]
    delay_month: DelayMonth | None
    """None where a month costs nothing by itself."""
