"""What becomes of things when a draft is made anew, set by set, the way one would say it.

The planner knows what it drafted last by digests, and decides thing by thing. Here whole
things are kept, and each rule is a set.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Drawn:
    """A thing in the plan: what it says, whether the shop has begun it, whether it is dropped."""

    says: int
    is_begun: bool = False
    is_dropped: bool = False


def outcome(
    last: Mapping[str, int], plan: Mapping[str, Drawn], draft: Mapping[str, int]
) -> dict[str, str]:
    """Return what becomes of each thing that the draft and the plan do not agree on."""
    planned_last, wanted, there = set(last), set(draft), set(plan)
    dropped = {key for key in there if plan[key].is_dropped}
    taken_out = (planned_last - there) | (planned_last & dropped)
    live = there - dropped
    as_wanted = {key for key in live & wanted if plan[key].says == draft[key]}
    untouched = {key for key in live & planned_last if plan[key].says == last[key]}
    begun = {key for key in live if plan[key].is_begun}
    found: dict[str, str] = {}
    found |= dict.fromkeys(wanted - there - planned_last, "added")
    found |= dict.fromkeys(wanted & (dropped - planned_last), "changed")
    found |= dict.fromkeys(wanted & taken_out, "kept dropped")
    at_odds = (live & wanted) - as_wanted
    found |= dict.fromkeys(at_odds - untouched, "kept edited")
    found |= dict.fromkeys((at_odds & untouched) - begun, "changed")
    found |= dict.fromkeys(at_odds & untouched & begun, "kept started")
    unwanted = (live & planned_last) - wanted
    found |= dict.fromkeys(unwanted - untouched, "kept edited")
    found |= dict.fromkeys((unwanted & untouched) - begun, "dropped")
    found |= dict.fromkeys(unwanted & untouched & begun, "kept started")
    return found
