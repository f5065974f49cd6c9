"""Which bays, jigs and cradles a piece of work takes: by method card and step, or by job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ribstitch.seeding.jobs import Work
from ribstitch.seeding.method_cards import rows


@dataclass(frozen=True, slots=True)
class PlaceRule:
    """What is worked in one place."""

    place: str
    card: str
    steps: frozenset[int]
    zone: str
    """Only in this zone; empty: wherever the card is used."""
    job: str
    """A job without a card; empty where the rule is one of a card."""

    def holds_for(self, work: Work) -> bool:
        """Return whether a piece of work takes the place."""
        if self.job:
            return work.job == self.job
        return (
            work.step is not None
            and work.step.card == self.card
            and work.step.number in self.steps
            and self.zone in ("", work.zone)
        )


def read_place_rules(texts: Mapping[str, str]) -> tuple[PlaceRule, ...]:
    """
    Return the rules in the order of the list.

    Raises
    ------
    KeyError, ValueError
        If a rule names a place that is not there, or a step is no number.
    """
    places = {row["place"] for row in rows(texts["places"])}
    rules = []
    for row in rows(texts["place_use"]):
        if row["place"] not in places:
            raise KeyError(f"place_use.csv speaks of {row['place']}, which is no place")
        steps = frozenset(map(int, row["steps"].split()))
        rules.append(PlaceRule(row["place"], row["card"], steps, row["zone"], row["job"]))
    return tuple(rules)


def places_of(work: Work, rules: tuple[PlaceRule, ...]) -> list[str]:
    """Return the places that a piece of work takes, each once."""
    return list(dict.fromkeys(rule.place for rule in rules if rule.holds_for(work)))
