"""What the demo's photos show; the files themselves lie in the scenario's folder ``photos``."""

from __future__ import annotations

from collections.abc import Mapping

from ribstitch.seeding.csv_rows import rows

Entry = dict[str, object]

_MEDIA_TYPE = "image/png"
_SHOWS = ("zone", "task", "send_out", "over_and_above", "finding")


def evidence(texts: Mapping[str, str]) -> list[Entry]:
    """Return the photos, each with what it shows."""
    entries = []
    for row in rows(texts["evidence"]):
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
        entries.append(entry)
    return entries
