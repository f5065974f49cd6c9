"""The baseline's curve of 5,000 packages over five years, and what it costs beside pandas.

Run with ``python -m tests.bench.money``. The curve is planned value by date, by month and
by chapter and month, exact to the minor unit, from the packages on; pandas spreads the
same packages over months in floats and adds them up by chapter and month, which is what
one would write at first. Earned value and cash need of a plan of that size are printed
beside it. Ends with status 1 if the curve takes longer than its limit, or if a month
of a chapter is off by more than 1.00.
"""

from __future__ import annotations

import random
import sys
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from time import perf_counter

import pandas as pd

from ribstitch.money.baseline import make_baseline
from ribstitch.money.cash import cash_need
from ribstitch.money.earned import earned_of
from ribstitch.money.ledger import ledger_of
from ribstitch.money.planned_value import PlannedValue
from ribstitch.planning.model import (
    Baseline,
    BudgetLine,
    Calendar,
    Cost,
    Crew,
    EarningRule,
    Link,
    Package,
    Plan,
    Project,
    Task,
)
from ribstitch.planning.schedule import schedule
from tests.bench.passes import fastest

PACKAGES, YEARS, CHAPTERS = 5_000, 5, 30
LIMIT_MS = 200.0
RUNS = 7
START = date(2026, 1, 5)
RULES = tuple(EarningRule)


def packages(seed: int = 1) -> tuple[Package, ...]:
    """Return packages of one to 150 dates, spread over the years and chapters."""
    drawn = random.Random(seed)
    found = []
    for number in range(PACKAGES):
        first = START + timedelta(days=drawn.randrange(365 * YEARS - 150))
        found.append(
            Package(
                f"T{number}",
                Decimal(drawn.randrange(1, 10**7)).scaleb(-2),
                first,
                first + timedelta(days=drawn.randrange(150)),
                RULES[number % len(RULES)],
                f"{number % CHAPTERS:02}",
            )
        )
    return tuple(found)


def curve(baseline: Baseline) -> PlannedValue:
    """Compute planned value by date, by month and by chapter."""
    planned = PlannedValue(baseline, "EUR")
    assert planned.by_month
    assert planned.by_chapter
    return planned


def in_pandas(table: pd.DataFrame) -> pd.Series:
    """Spread amounts evenly over dates in floats; add up by chapter and month."""
    dates = table["last"] - table["first"] + 1
    spread = table.loc[table.index.repeat(dates)]
    day = spread["first"] + spread.groupby(level=0).cumcount()
    month = pd.to_datetime(day, unit="D").dt.to_period("M")
    share = spread["amount"] / dates.loc[spread.index]
    return share.groupby([spread["chapter"], month]).sum()


def table_of(baseline: Baseline) -> pd.DataFrame:
    """Return the packages as pandas takes them: dates in days since 1970."""
    epoch = date(1970, 1, 1).toordinal()
    return pd.DataFrame(
        {
            "chapter": [one.chapter for one in baseline.packages],
            "amount": [float(one.amount) for one in baseline.packages],
            "first": [one.start.toordinal() - epoch for one in baseline.packages],
            "last": [one.finish.toordinal() - epoch for one in baseline.packages],
        }
    )


def whole_plan() -> Plan:
    """Return a plan of 5,000 tasks in 50 rows, each with a cost line."""
    tasks = tuple(
        Task(f"T{n}", 1440 * (1 + n % 20), chapter=f"{n % CHAPTERS:02}", trade="metal")
        for n in range(PACKAGES)
    )
    return Plan(
        project=Project(START, START),
        calendars=(Calendar("shop"),),
        tasks=tasks,
        links=tuple(Link(f"T{n}", f"T{n + 50}") for n in range(PACKAGES - 50)),
        crew=(Crew("metal", people=50, rate=Decimal(48)),),
        costs=tuple(Cost(f"C{n}", Decimal(n), "EUR", task=f"T{n}") for n in range(PACKAGES)),
        budget=tuple(BudgetLine(f"{n:02}", Decimal(10**6), "EUR") for n in range(CHAPTERS)),
    )


def main() -> int:
    """Time both, compare them, print the figures."""
    even = Baseline("B", START, START, packages=tuple(
        Package(one.id, one.amount, one.start, one.finish, EarningRule.WORK_DONE, one.chapter)
        for one in packages()
    ))  # fmt: skip
    mixed = Baseline("B", START, START, packages=packages())
    table = table_of(even)
    ours = fastest(lambda: curve(even), RUNS)
    theirs = fastest(lambda: in_pandas(table), RUNS)
    print(f"{PACKAGES:,} packages over {YEARS} years, {CHAPTERS} chapters")
    print(f"  by date, month and chapter, exact: {ours:7.1f} ms")
    print(f"  pandas, by chapter and month, floats: {theirs:7.1f} ms")
    print(f"  ratio: {ours / theirs:.2f}")
    all_rules = fastest(lambda: curve(mixed), RUNS)
    print(f"  all earning rules: {all_rules:.1f} ms")
    worst = _worst(curve(even), in_pandas(table))
    print(f"  largest difference in a month of a chapter: {worst:.2f}")
    _print_whole_plan()
    return int(max(ours, all_rules) > LIMIT_MS or worst > 1.0)


def _worst(planned: PlannedValue, months: pd.Series) -> float:
    """Return by how much a month of a chapter differs at most. [EUR]"""
    found = 0.0
    for chapter, units in planned.by_chapter.items():
        for month, mine in zip(planned.months, units, strict=True):
            key = (chapter, pd.Period(month, "M"))
            found = max(found, abs(mine / 100 - float(months.get(key, 0.0))))
    return found


def _print_whole_plan() -> None:
    """Print what a plan of that size takes, from its schedule on."""
    made = whole_plan()
    dates = schedule(made)
    begun = perf_counter()
    baseline = make_baseline(made, dates, baseline_id="B", approved_on=START, reason="")
    approved = perf_counter()
    dates = schedule(replace(made, baselines=(baseline,)))
    scheduled = perf_counter()
    ledger = ledger_of(dates)
    booked = perf_counter()
    assert earned_of(dates, ledger) is not None
    earned = perf_counter()
    assert cash_need(dates, ledger).months
    print(f"a plan of {PACKAGES:,} tasks and cost lines, to {dates.finish_on}")
    for name, seconds in (
        ("a baseline of it", approved - begun),
        ("ledger", booked - scheduled),
        ("earned value", earned - booked),
        ("cash need", perf_counter() - earned),
    ):
        print(f"  {name}: {seconds * 1000:.0f} ms")


if __name__ == "__main__":
    sys.exit(main())
