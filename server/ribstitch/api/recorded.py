"""What every edit answers: the thing, and what became of the project finish."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from ribstitch.api.answers import json_response
from ribstitch.api.conditional import etag
from ribstitch.services.change_plan import Recorded


def recorded(done: Recorded, things: dict[str, Any], *, status: int = 200) -> Response:
    """Return what a change led to; `things` stand first, by name."""
    content = {
        **things,
        "version": done.version,
        "plan_version": done.plan_version,
        "change": done.change_number,
        "finish": {
            "before": done.finish_before,
            "after": done.finish_after,
            "moved_days": done.moved_days,
        },
    }
    return json_response(content, status=status, ETag=etag(done.version))
