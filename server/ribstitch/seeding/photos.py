"""What the demo's photos show; the files themselves lie in the scenario's folder ``photos``."""

from __future__ import annotations

import csv
from collections.abc import Mapping

Entry = dict[str, object]

_MEDIA_TYPE = "image/png"
_SHOWS = ("zone", "task", "send_out", "over_and_above")


def evidence(texts: Mapping[str, str], document: Mapping[str, object]) -> list[Entry]:
    """Return the photos, about their findings as far as the plan holds findings."""
    findings = document.get("findings", [])
    known = {one["id"] for one in findings} if isinstance(findings, list) else set()
    entries = []
    for row in csv.DictReader(texts["evidence"].splitlines()):
        entry: Entry = {
            "id": row["ref"],
            "sha256": row["sha256"],
            "media_type": _MEDIA_TYPE,
            "size": int(row["bytes"]),
            "added_on": row["added"],
            "name": row["file"],
            "caption": row["caption"],
            "taken_on": row["taken"],
            "by": row["by"],
        }
        entry |= {field: row[field] for field in _SHOWS if row[field]}
        if row["finding"] in known:
            entry["finding"] = row["finding"]
        entries.append(entry)
    return entries
