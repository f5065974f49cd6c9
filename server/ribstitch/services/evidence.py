"""Photos and documents of a project: put in, looked at."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from ribstitch.planning.errors import InvalidValueError, UnknownReferenceError
from ribstitch.planning.model import Drawing, Evidence
from ribstitch.services.change_plan import Author, Change, Recorded, change_plan, unused_key
from ribstitch.services.evidence_file import PDF, check_file, media_type_of
from ribstitch.services.forecast import CurrentPlan, Forecasts
from ribstitch.store import Edit, FileStore, Person, UnitOfWork
from ribstitch.store.kinds import EVIDENCE

SHOWS = ("zone", "finding", "task", "send_out", "over_and_above")
"""What a file can be about; the fields are called like the kinds."""
OF_THE_FILE = ("sha256", "media_type", "size", "added_on", "by")
"""Fields that no edit changes."""
_LONGEST_NAME = 120
_NO_NAME_HOLDS = re.compile(r"[\x00-\x1f\x7f]")


@dataclass(frozen=True, slots=True)
class Sent:
    """A file as it was sent."""

    content: bytes
    declared: str
    """The type that its sender names."""


def add_evidence(
    forecasts: Forecasts,
    files: FileStore,
    project_id: int,
    sent: Sent,
    shown: Evidence,
    person: Person,
    at: datetime,
    reason: str = "",
) -> Recorded:
    """
    Keep a file and put it into the plan, added on the as-of date.

    The file lies beside the database before the plan names it. A file that is there already
    is kept once, whatever it is added to.

    Parameters
    ----------
    forecasts, files
        The forecasts of the store, and its files.
    project_id
        Whose plan.
    sent
        The file.
    shown
        Its caption, name, date, and what it shows; what belongs to the file is found out here.
    person, at, reason
        Who adds it, when, and why.

    Raises
    ------
    UnknownProjectError, PlanError, FilesUnavailableError
        Nothing is stored; `InvalidValueError` if it is no file that is taken.
    """
    checked = check_file(sent.content, sent.declared)

    def decide(current: CurrentPlan, work: UnitOfWork) -> Change:
        _check_shows(current, shown)
        digest = files.put(sent.content)
        if checked.thumbnail is not None:
            files.put_thumbnail(digest, checked.thumbnail)
        one = replace(
            shown,
            id=unused_key(current, work, EVIDENCE.name, "E"),
            sha256=digest,
            media_type=checked.media_type,
            size=len(sent.content),
            added_on=current.as_of,
            by=person.name,
        )
        edit = Edit(EVIDENCE.name, one.id, None, one)
        return Change("evidence.add", [edit], f"Evidence {one.id} added")

    return change_plan(forecasts, project_id, Author(person, at, reason), decide)


def refuse_another_file(before: Evidence, after: Evidence) -> None:
    """Refuse an edit of what belongs to the file; raises as `refuse_edit_of` does."""
    refuse_edit_of("file", OF_THE_FILE, before, after)


def refuse_edit_of(what: str, fields: Sequence[str], before: object, after: object) -> None:
    """
    Refuse an edit of what belongs to the thing that was put in.

    Raises
    ------
    InvalidValueError
        Names the first such field.
    """
    for field in fields:
        value = getattr(after, field)
        if getattr(before, field) != value:
            raise InvalidValueError(field, f"it belongs to the {what} and stays as it is", value)


def tidy_name(name: str) -> str:
    """Return how a file was called: without folders and control characters, not too long."""
    last = _NO_NAME_HOLDS.sub("", re.split(r"[/\\]", name)[-1]).strip()
    stem, dot, ending = last.rpartition(".")
    room = _LONGEST_NAME - len(dot + ending)
    tidy = f"{stem[:room]}{dot}{ending}" if room > 0 else last[:_LONGEST_NAME]
    return tidy.strip(".") and tidy


def chosen(
    current: CurrentPlan, shows: dict[str, str], month: tuple[date, date] | None = None
) -> Iterator[Evidence]:
    """
    Yield files, in the order in which they were added.

    Parameters
    ----------
    current
        The plan.
    shows
        Only those about these things, by field.
    month
        Only those of these dates, both ends included.
    """
    for one in current.plan.evidence:
        is_about = all(getattr(one, field) == key for field, key in shows.items())
        if is_about and (month is None or month[0] <= dated(one) <= month[1]):
            yield one


def dated(one: Evidence) -> date:
    """Return when a photo was taken; where nobody says, when it was added."""
    return one.taken_on or one.added_on


def file_of(files: FileStore, one: Evidence | Drawing) -> tuple[str, bytes]:
    """
    Return the type and the content of a file.

    Raises
    ------
    MissingFileError, DamagedFileError, FilesUnavailableError
        If it cannot be had.
    InvalidValueError
        If a file that nobody checked was laid there by hand.
    """
    content = files.read(one.sha256)
    media_type = media_type_of(content)
    if media_type is None:
        raise InvalidValueError("sha256", "that file is no photo and no document", one.sha256)
    return media_type, content


def thumbnail_of(files: FileStore, one: Evidence) -> bytes | None:
    """
    Return the small picture of a photo, made now if it is not there; None for a document.

    Raises
    ------
    MissingFileError, DamagedFileError, FilesUnavailableError, InvalidValueError
        If it cannot be had.
    """
    kept = files.thumbnail(one.sha256)
    if kept is not None:
        return kept
    media_type, content = file_of(files, one)
    if media_type == PDF:
        return None
    made = check_file(content, media_type).thumbnail
    if made is not None:
        files.put_thumbnail(one.sha256, made)
    return made


def _check_shows(current: CurrentPlan, shown: Evidence) -> None:
    """Refuse what is about something that is not in the plan, before the file is kept."""
    for field in SHOWS:
        key = getattr(shown, field)
        if key is not None and key not in current.versions[field]:
            raise UnknownReferenceError(field, field.replace("_", "-"), key)
