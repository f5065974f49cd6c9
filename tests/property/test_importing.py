"""Exported tables that come back change nothing, whatever the plan; other bytes are refused."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning.model import Plan, SendOutKind
from ribstitch.services.exports import EXPORTS
from ribstitch.services.exports.csv_text import csv_text
from ribstitch.services.exports.xlsx_book import xlsx_book
from ribstitch.services.forecast import CurrentPlan, forecast
from ribstitch.services.import_table import try_table
from ribstitch.spreadsheets.errors import SpreadsheetError
from ribstitch.spreadsheets.matching import find_head, headings, propose
from ribstitch.spreadsheets.reading import read_grid
from ribstitch.spreadsheets.tables import TABLES
from ribstitch.spreadsheets.telling import tell
from ribstitch.store import StoredPlan
from ribstitch.store.kinds import PLAN_KINDS
from tests.property.drafting_strategies import Evaluation, evaluations
from tests.property.money_strategies import costed_plans
from tests.property.settings import examples
from tests.property.strategies import plans
from tests.store.plans import short_plan

KINDS = (SendOutKind("fin", 1, 2), SendOutKind("spar", 1, 2))
LARGEST = Decimal(10**13)
TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cc")) | st.sampled_from("'=+-@;,\"\n"))


def current(plan: Plan) -> CurrentPlan:
    kinds = PLAN_KINDS.values()
    versions = {kind.name: dict.fromkeys(kind.keys(kind.things(plan)), 1) for kind in kinds}
    return forecast(StoredPlan(1, 1, plan, versions))


def held(amount: Decimal) -> Decimal:
    """Return an amount that a plan file can hold: those that are drawn may be larger."""
    return max(min(amount, LARGEST), -LARGEST)


def comes_back_unchanged(now: CurrentPlan, name: str) -> None:
    """Export a table in both kinds of file, take it in, and look at what would change."""
    export, table = EXPORTS[name], TABLES[name]
    lines = export.lines(now)
    if not lines:
        return
    for file in (
        csv_text(export.columns, lines).encode("utf-8-sig"),
        xlsx_book(name, export.columns, lines, export.money),
    ):
        grid = read_grid(file)
        head = find_head(grid, table)
        match = propose(headings(grid, head), table)
        told = tell(grid, head, table, match, {"decimals": "point"})
        trial = try_table(now, table, told, "update")
        assert trial.problems == ()
        assert trial.edits == ()
        assert trial.unchanged == len(lines)


@given(plans(max_tasks=8), st.lists(TEXTS, min_size=8, max_size=8))
@examples(25)
def test_tasks_and_vendors_come_back_unchanged(plan: Plan, texts: list[str]) -> None:
    tasks = [
        replace(task, name=text, notes=text[::-1])
        for task, text in zip(plan.tasks, texts, strict=False)
    ]
    first, *rest = plan.vendors
    vendors = (replace(first, kinds=("spar", "fin")), *rest)
    now = current(replace(plan, tasks=tuple(tasks), kinds=KINDS, vendors=vendors))
    comes_back_unchanged(now, "tasks")
    comes_back_unchanged(now, "vendors")


def test_texts_like_formulas_come_back_with_the_apostrophes_that_are_their_own() -> None:
    plan = short_plan()
    names = ("=1+1", "'=1+1", "''-2")
    tasks = tuple(replace(one, name=name) for one, name in zip(plan.tasks, names, strict=True))
    comes_back_unchanged(current(replace(plan, tasks=tasks)), "tasks")


@given(costed_plans())
@examples(25)
def test_costs_and_hours_come_back_unchanged(plan: Plan) -> None:
    costs = tuple(
        replace(
            cost,
            amount=held(cost.amount),
            payments=tuple({replace(one, amount=held(one.amount)): 0 for one in cost.payments}),
        )
        for cost in plan.costs
    )
    now = current(replace(plan, costs=costs))
    for name in ("costs", "hours"):
        comes_back_unchanged(now, name)


@given(evaluations(8), st.lists(TEXTS, min_size=8, max_size=8))
@examples(15)
def test_findings_come_back_unchanged(evaluation: Evaluation, texts: list[str]) -> None:
    plan = evaluation.plan()
    findings = [
        replace(one, seen=text or "Seen", measurements=text)
        for one, text in zip(plan.findings, texts, strict=False)
    ]
    comes_back_unchanged(current(replace(plan, findings=tuple(findings))), "findings")


@given(
    st.binary(max_size=200)
    | st.builds(lambda rest: b"PK\x03\x04" + rest, st.binary(max_size=200))
    | st.text(st.sampled_from("ab1,;\t|\"'\r\n=-é\u2028"), max_size=60).map(str.encode)
)
@examples(200)
def test_any_bytes_are_a_table_or_refused_in_a_sentence(data: bytes) -> None:
    try:
        grid = read_grid(data)
    except SpreadsheetError as refused:
        sentence = str(refused)
    else:
        sentence = ""
        assert grid.rows
        for table in TABLES.values():
            propose(headings(grid, find_head(grid, table)), table)
    assert not sentence or (sentence.endswith(".") and "\n" not in sentence)
