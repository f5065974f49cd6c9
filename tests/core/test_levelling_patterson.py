"""The Patterson layout as other people's programs write it, and what cannot be read."""

from __future__ import annotations

import random
import time
from pathlib import Path

import pytest

from ribstitch.planning.errors import CycleError, InvalidValueError
from ribstitch.planning.levelling import level_project, parse_patterson

INSTANCE = Path(__file__).parents[1] / "published" / "data" / "j30_1_1.rcp"
SMALL = "3 1\n3\n0 0 1 2\n4 1 1 3\n0 0 0"


@pytest.mark.parametrize("seed", range(20))
def test_numbers_may_be_set_on_lines_in_any_way(seed: int) -> None:
    text, draw = INSTANCE.read_text(encoding="ascii"), random.Random(seed)
    between = (" ", "   ", "\t", "\n", "\r\n", "\r", " \n\n \n", "\f")
    spread = "".join(word + draw.choice(between) for word in text.split())
    assert parse_patterson(f"\n\n  {spread}") == parse_patterson(text)


def test_marks_of_other_systems_around_an_instance_do_not_matter() -> None:
    assert parse_patterson(f"\ufeff{SMALL}\r\n\x1a") == parse_patterson(SMALL)


@pytest.mark.parametrize(
    ("text", "makespan"),
    [
        ("1 0\n0 0", 0),
        ("3 0\n\n0 1 2\n4 1 3\n0 0", 4),
        ("2 0 3 0 4 0", 4),
        ("3 2\n0 5\n0 0 0 1 2\n4 0 2 1 3\n0 0 0 0", 4),
        ("3 2\n3 5\n0 9 0 1 2\n4 1 2 1 3\n0 0 0 0", 4),
        ("3 1\n3\n0 0 3 2 2 3\n4 1 1 3\n0 0 0", 4),
    ],
    ids=["one", "no resource", "no links", "no capacity", "dummy asks", "link twice"],
)
def test_instances_at_the_edge_are_levelled(text: str, makespan: int) -> None:
    found = level_project(parse_patterson(text), seconds=1, clock=time.monotonic)
    assert (found.makespan, found.bound) == (makespan, makespan)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (SMALL + "\nend", 'line 6: "end" stands after the last activity'),
        (SMALL + "\n0", 'line 6: "0" stands after the last activity'),
        (SMALL + "\0", 'line 5: "0\\x00" stands where how many wait for activity 3 should'),
        ("# small\n" + SMALL, 'line 1: "#" stands where the number of activities should'),
        ("0 1\n3", "line 1: the number of activities is 0, not from 1 to 10000"),
        ("3 1\n3\n0 0 1 2\n4.5", 'line 4: "4.5" stands where the duration of activity 2 should'),
        ("3 1\n" + "9" * 30, f"line 2: a capacity is {'9' * 20}, not from 0 to 1000000"),
        ("3 1\n3\n0 0 1 \uff12", 'line 3: "\uff12" stands where what waits for activity 1 should'),
        ("2 1\n0\n0 0 1 2\n4 1 0", "activity 2: needs 1 of resource 1 at once and there are 0"),
        ("2 1\n3\n0 0 1 2\n4 4 0", "activity 2: needs 4 of resource 1 at once and there are 3"),
    ],
)
def test_what_cannot_be_read_is_one_sentence(text: str, sentence: str) -> None:
    with pytest.raises(InvalidValueError) as refused:
        parse_patterson(text)
    assert str(refused.value).startswith(sentence)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("text", "circle"),
    [
        ("3 1\n3\n0 0 1 2\n4 1 1 3\n2 1 1 2", "2 -> 3 -> 2"),
        ("2 1\n3\n0 0 1 2\n4 1 1 2", "2 -> 2"),
    ],
)
def test_a_circle_is_named(text: str, circle: str) -> None:
    with pytest.raises(CycleError, match=circle):
        parse_patterson(text)
