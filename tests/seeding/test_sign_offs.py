"""What the demo's shop signed: one word for each check of work that is done, and no other."""

from __future__ import annotations

from collections import Counter

import pytest

from ribstitch.planning.holding import CheckState, check_standings
from ribstitch.planning.model import CheckKind, State
from ribstitch.seeding.csv_rows import rows
from ribstitch.seeding.sign_offs import sign_offs
from tests.seeding.test_demo_plan import plan, texts


def test_each_check_of_work_that_is_done_was_signed_on_the_date_of_its_finish() -> None:
    done = {
        task.id: (task.status.finished, task.check.kind)
        for task in plan().tasks
        if task.check is not None and task.status.state is State.DONE
    }
    assert len(done) > 30
    assert {one.task: (one.on, one.kind) for one in plan().sign_offs} == done
    assert len(plan().sign_offs) == len(done)


def test_the_inspector_buys_off_and_witnesses_and_gives_a_licence() -> None:
    for one in plan().sign_offs:
        is_inspector = one.by == "Licensed inspector (visiting) 1"
        assert is_inspector is (one.kind is not CheckKind.HOLD and not one.override)
        assert bool(one.licence) is is_inspector


def test_what_was_passed_over_is_what_the_list_says() -> None:
    listed = {row["task"]: row["reason"] for row in rows(texts()["passed_over"])}
    assert {one.task: one.override for one in plan().sign_offs if one.override} == listed
    states = Counter(one.state for one in check_standings(plan()).values())
    assert states[CheckState.PASSED_OVER] == len(listed)
    assert states[CheckState.REOPENED] == 0


def test_a_reason_for_work_that_is_not_done_is_refused() -> None:
    wrong = {"passed_over": "task,reason\nM33.1,because\n"}
    with pytest.raises(ValueError, match=r"M33\.1, which is not done"):
        sign_offs(wrong, {"tasks": []})
