"""The table of what was signed."""

from __future__ import annotations

from collections.abc import Iterator

from ribstitch.services.exports.table import Export, Row, yes_or_no
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.records_view import sign_off_lines


def _sign_offs(current: CurrentPlan) -> Iterator[Row]:
    """Yield the sign-offs in order of entry."""
    for line in reversed(sign_off_lines(current)):
        yield {
            "id": line.key,
            "on": line.on,
            "task": line.task,
            "record": line.record,
            "name": line.name,
            "kind": None if line.kind is None else line.kind.value,
            "by": line.by,
            "licence": line.licence,
            "statement": line.statement,
            "override": line.override,
            "reopens": yes_or_no(line.reopens),
            "evidence": ", ".join(line.evidence),
        }


SIGN_OFFS = Export(
    "sign-offs",
    (
        "id", "on", "task", "record", "name", "kind", "by", "licence", "statement", "override",
        "reopens", "evidence",
    ),
    _sign_offs,
)  # fmt: skip
