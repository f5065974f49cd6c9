"""Read resource-constrained projects in the public text layouts.

The Patterson layout holds nothing but numbers: activities and resources; capacities;
then for each activity its duration, its demands, how many activities wait for it, and
which (from 1). J. H. Patterson, "A comparison of exact approaches for solving the
multiple constrained resource, project scheduling problem", Management Science 30, 1984;
the instance library of R. Kolisch & A. Sprecher, European Journal of Operational
Research 96, 1997, is kept in it too.
"""

from __future__ import annotations

from collections.abc import Iterator

from ribstitch.planning.errors import InvalidValueError
from ribstitch.planning.levelling.resource_project import ResourceProject, StartLag

MOST_ACTIVITIES = 10_000
"""More than any published instance has."""
_LONGEST = 10_000
"""No activity may take longer. [periods]"""


def parse_patterson(text: str) -> ResourceProject:
    """
    Parse a project in the Patterson layout.

    Line ends carry no meaning, nor do a byte order mark before the first number and the end
    mark of old systems after the last. An instance has a first and a last activity without
    duration; nothing here depends on it.

    Raises
    ------
    InvalidValueError
        If the text holds something else than the numbers it announces; `where` is the
        line.
    CycleError
        If activities wait for each other in a circle.
    """
    numbers = _Numbers(text)
    size = numbers.take("the number of activities", 1, MOST_ACTIVITIES)
    resources = numbers.take("the number of resources", 0, 100)
    capacities = tuple(numbers.take("a capacity", 0, 1_000_000) for _ in range(resources))
    durations, demands, lags = [], [], []
    for number in range(size):
        name = f"activity {number + 1}"
        took = numbers.take(f"the duration of {name}", 0, _LONGEST)
        durations.append(took)
        demands.append(
            tuple(numbers.take(f"a demand of {name}", 0, 1_000_000) for _ in range(resources))
        )
        for _ in range(numbers.take(f"how many wait for {name}", 0, size)):
            after = numbers.take(f"what waits for {name}", 1, size)
            lags.append(StartLag(number, after - 1, took))
    numbers.finish()
    return ResourceProject(tuple(durations), tuple(demands), capacities, tuple(lags))


class _Numbers:
    """The whole numbers of a text, one after the other, with the line each stands on."""

    def __init__(self, text: str) -> None:
        self._words: Iterator[tuple[int, str]] = (
            (line, word)
            for line, words in enumerate(_bare(text).splitlines(), start=1)
            for word in words.split()
        )
        self._line = 1

    def take(self, what: str, low: int, high: int) -> int:
        """Return the next number, or say what was expected."""
        self._line, word = next(self._words, (self._line, ""))
        if not word:
            raise InvalidValueError(f"line {self._line}", f"the text ends before {what}")
        if not (word.isascii() and word.removeprefix("-").isdigit()):
            raise InvalidValueError(
                f"line {self._line}", f'"{_shown(word)}" stands where {what} should', word
            )
        number = int(word) if len(word) < 20 else high + 1
        if not low <= number <= high:
            raise InvalidValueError(
                f"line {self._line}", f"{what} is {word[:20]}, not from {low} to {high}", word
            )
        return number

    def finish(self) -> None:
        """Refuse a text that goes on."""
        line, word = next(self._words, (0, ""))
        if word:
            raise InvalidValueError(
                f"line {line}", f'"{_shown(word)}" stands after the last activity', word
            )


def _bare(text: str) -> str:
    """Return a text without the marks that some systems put around it."""
    return text.removeprefix("\ufeff").rstrip().rstrip("\x1a")


def _shown(word: str) -> str:
    """Return the beginning of a word as it can be printed."""
    return "".join(one if one.isprintable() else ascii(one)[1:-1] for one in word[:20])
