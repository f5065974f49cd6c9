"""Some hundred times in the suite; `tests.faults.two_writers` does ten thousand."""

from __future__ import annotations

from tests.faults.two_writers import counted

_TIMES = 120


def test_two_who_write_to_one_task_lose_no_word_of_each_other(database_url: str) -> None:
    seen = counted(database_url, _TIMES)
    assert seen.faults == []
    assert seen.count == _TIMES
