"""The shop's own drawings of its aircraft: put in, given out."""

from __future__ import annotations

from datetime import datetime

from ribstitch.planning.model import Drawing
from ribstitch.services.change_plan import Author, Change, Recorded, change_plan, unused_key
from ribstitch.services.evidence import Sent, refuse_edit_of, tidy_name
from ribstitch.services.evidence_file import check_drawing
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import Edit, FileStore, Person, UnitOfWork
from ribstitch.store.kinds import DRAWING

_OF_THE_PICTURE = ("sha256", "width", "height", "added_on", "by")
"""Fields that no edit changes."""


def add_drawing(
    forecasts: Forecasts,
    files: FileStore,
    project_id: int,
    sent: Sent,
    name: str,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Keep a picture of the aircraft, upright and not larger than a map needs, with no zone on it.

    It lies beside the database before the plan names it.

    Parameters
    ----------
    forecasts, files
        The forecasts of the store, and its files.
    project_id
        Whose plan.
    sent
        The picture as it was sent.
    name
        How the drawing, or its file, is called.
    person, at, reason
        Who adds it, when, and why.

    Raises
    ------
    UnknownProjectError, PlanError, FilesUnavailableError
        Nothing is stored; `InvalidValueError` if it is no picture that is taken.
    """
    picture = check_drawing(sent.content, sent.declared)

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        one = Drawing(
            id=unused_key(current, work, DRAWING.name, "D"),
            sha256=files.put(picture.content),
            width=picture.width,
            height=picture.height,
            added_on=current.as_of,
            name=tidy_name(name),
            by=person.name,
        )
        edit = Edit(DRAWING.name, one.id, None, one)
        return Change("drawing.add", [edit], f"Drawing {one.name or one.id} added")

    return change_plan(forecasts, project_id, Author(person, at, reason), decide)


def refuse_another_picture(before: Drawing, after: Drawing) -> None:
    """Refuse an edit of what belongs to the picture; raises as `refuse_edit_of` does."""
    refuse_edit_of("picture", _OF_THE_PICTURE, before, after)
