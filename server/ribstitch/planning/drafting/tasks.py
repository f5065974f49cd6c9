"""From a piece of work to a task."""

from __future__ import annotations

from ribstitch.planning.check_values import LONGEST_NAME
from ribstitch.planning.drafting.hands import Hands
from ribstitch.planning.drafting.jobs import Job, Work, treatment_word
from ribstitch.planning.model import Check, Origin, Plan, Task


class TaskMaker:
    """Makes tasks with the crew and the places of a plan."""

    def __init__(self, plan: Plan, hands: Hands) -> None:
        self._hands = hands
        self._places = {place.id for place in plan.places}

    def task(self, job: Job, work: Work) -> Task:
        """Return the task of a piece of work, not begun."""
        step, card = work.step, job.card
        season = None if step is None else step.calendar
        span = self._hands.span(work.trade, work.people, work.hours, season)
        people = 1 if work.trade is None else self._hands.count(work.trade, work.people)
        return Task(
            id=work.id,
            duration=span[1],
            name=work.name[:LONGEST_NAME],
            zone=job.zone,
            chapter=job.chapter,
            calendar=self._hands.calendar(work.trade, season),
            duration_range=span,
            trade=work.trade,
            people=people,
            places=self._places_of(job, work),
            why=why(job, work),
            hazards=() if card is None else card.hazards,
            check=_check(job, work),
            origin=Origin(
                job=job.id,
                finding=job.finding.id if job.finding else None,
                card=card.id if card else None,
                step=step.number if step else None,
                quantity=job.quantity,
            ),
        )

    def _places_of(self, job: Job, work: Work) -> tuple[str, ...]:
        """Return the places of the shop that a piece of work takes in its zone, each once."""
        wanted = work.step.places if work.step else ()
        return tuple(
            dict.fromkeys(
                one.place
                for one in wanted
                if one.place in self._places and (not one.zones or job.zone in one.zones)
            )
        )


def why(job: Job, work: Work) -> str:
    """Say why a task exists: its finding, its card and the step."""
    finding, card = job.finding, job.card
    if finding is None:
        start = f"card {card.id} ({card.name})" if card else job.title
    else:
        start = f"finding {finding.id} ({_first_line(finding.seen)})"
        start += f", card {card.id}" if card else f", treatment {treatment_word(finding.treatment)}"
    return start if work.step is None else f"{start}, step {work.step.number}"


def _check(job: Job, work: Work) -> Check | None:
    """Return what must be settled before the task counts as done."""
    if work.step is None or work.step.check is None or job.card is None:
        return None
    return Check(work.step.check, job.card.evidence)


def _first_line(text: str) -> str:
    return text.strip().partition("\n")[0][:200]
