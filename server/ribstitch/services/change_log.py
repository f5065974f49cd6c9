"""Look at what was changed, by whom and when."""

from __future__ import annotations

from ribstitch.store import ALWAYS, ActionRecord, ChangedKind, ChangeRecord, Span, Store
from ribstitch.store.kinds import LINK

MOST_LISTED = 5
"""An action that changed more things is one line, until somebody opens it."""

_BEGINNINGS = {
    "crew.level": "Levelled",
    "case.adopt": "Case taken into the plan",
    "plan.draft": "Drafted from the evaluation",
    "table.import": "Taken in from a table",
    "undo": "Took back",
    "redo": "Brought back",
}
_NAMES = {
    "crew": ("crew entry", "crew entries"),
    "draft": ("list of what was drafted", "lists of what was drafted"),
    "evidence": ("piece of evidence", "pieces of evidence"),
    "funding": ("sum to come in", "sums to come in"),
    "hours_worked": ("entry of hours", "entries of hours"),
    "over_and_above": ("over-and-above item", "over-and-above items"),
    "send_out": ("send-out", "send-outs"),
    "send_out_kind": ("kind of send-out", "kinds of send-out"),
}


def changes(
    store: Store,
    project_id: int,
    kind: str | None = None,
    key: str | None = None,
    before: int | None = None,
    limit: int | None = 50,
    plan_version: int | None = None,
    when: Span = ALWAYS,
    task: str | None = None,
) -> list[ChangeRecord]:
    """
    Return changes of a project, newest first.

    Parameters
    ----------
    store
        Where the plan is.
    project_id
        Whose changes.
    kind, key
        Only those of one kind, or of one thing.
    before
        Only those with a smaller number: the number of the last one seen gives the next
        page.
    limit
        At most so many; None: all.
    plan_version
        Only those made together in the change to this plan version.
    when
        Only those made then.
    task
        Only those of a task and of its links.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    """
    with store.reading() as reading:
        reading.plan_version(project_id)
        found = reading.changes(
            project_id, kind=kind, key=key, before=before, limit=limit,
            plan_version=plan_version, when=when, task=task,
        )  # fmt: skip
    return found if task is None else [one for one in found if _is_of(one, task)]


def _is_of(change: ChangeRecord, task: str) -> bool:
    """Return whether a change is of a task or of one of its links, whatever keys look like."""
    if change.kind == LINK.name:
        link = change.after or change.before or {}
        return task in (link.get("from"), link.get("to"))
    return change.key == task


def actions(
    store: Store,
    project_id: int,
    before: int | None = None,
    limit: int = 50,
    when: Span = ALWAYS,
) -> list[ActionRecord]:
    """
    Return what was done to a project, action by action, newest first.

    Parameters
    ----------
    store
        Where the plan is.
    project_id
        Whose plan.
    before
        Only what led to an earlier plan version: that of the last one seen gives the next
        page.
    limit
        At most so many.
    when
        Only those made then.

    Raises
    ------
    UnknownProjectError
        If there is no such project.
    """
    with store.reading() as reading:
        reading.plan_version(project_id)
        return reading.actions(
            project_id, before=before, when=when, limit=limit, most_listed=MOST_LISTED
        )


def summary_of(action: ActionRecord) -> str:
    """Say in a few words what an action did, such as ``Levelled: 41 crew links set``."""
    done = action.changes[-1].action
    parts = [part for one in action.kinds for part in _counted(one, done)]
    text = ", ".join(parts)
    begin = _BEGINNINGS.get(done, "")
    return f"{begin}: {text}" if begin else f"{text[0].upper()}{text[1:]}"


def _counted(one: ChangedKind, done: str) -> list[str]:
    """Write how many things of a kind had something done, naming the kind once."""
    if done == "crew.level":
        counts = [(one.added + one.changed, "set"), (one.taken_out, "taken away")]
    else:
        counts = [(one.added, "added"), (one.changed, "changed"), (one.taken_out, "taken out")]
    name, several = _NAMES.get(one.kind) or (_plain(one.kind), f"{_plain(one.kind)}s")
    found: list[str] = []
    for count, what in counts:
        if count:
            things = "" if found else f" {name if count == 1 else several}"
            found.append(f"{count}{things} {what}")
    return found


def _plain(kind: str) -> str:
    """Return what a kind is called in a sentence."""
    return kind.replace("_", " ")
