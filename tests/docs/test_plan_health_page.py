"""The page of plan health has every check with its limit, and its example is accepted."""

from __future__ import annotations

import json

import pytest

from ribstitch.planfile import parse_plan
from ribstitch.planning.health.rules import RULES, THRESHOLDS, Rule
from tests.docs.pages import DOCS, code_blocks, code_words

PAGE = (DOCS / "reference" / "plan-health.md").read_text(encoding="utf-8")
SOURCES = {
    "DCMA, read": "DCMA 14-point assessment, as an article about it gives it",
    "DCMA, from memory": "DCMA 14-point assessment, from memory: not confirmed in its own text",
    "practice": "practice of GAO-16-89G, which gives no figure",
    "common practice": "common practice, no source",
}
ROWS = {
    cells[1].strip("`"): cells
    for line in PAGE.splitlines()
    if len(cells := [cell.strip() for cell in line.strip("|").split("|")]) == 6
}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_check_stands_on_the_page_as_it_is_counted(rule: Rule) -> None:
    least = "at least" if rule.at_least else "at most"
    limit = "listed" if rule.limit is None else f"{least} {rule.limit:g}"
    practice, _, counts, of, shown, source = ROWS[rule.id]
    assert (int(practice), counts, of, shown) == (rule.practice, rule.counts, rule.of, limit)
    assert SOURCES[source] == rule.source


def test_page_has_no_check_that_is_not_made() -> None:
    assert set(ROWS) - {rule.id for rule in RULES} == {"check", "---"}


@pytest.mark.parametrize("name", [one.id for one in THRESHOLDS])
def test_threshold_is_named(name: str) -> None:
    assert name in code_words(PAGE)


def test_example_of_limits_is_a_plan_file() -> None:
    (example,) = code_blocks(PAGE, "json")
    document = {"format": "ribstitch-plan/1", **json.loads(example)}
    limits = parse_plan(json.dumps(document).encode(), "example").project.health_limits
    assert limits == (("lags", 0.1), ("long_task_days", 30.0))
