"""A stream of what is done to a plan, as it is done."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from typing import Annotated, Any, Final

import orjson
from fastapi import APIRouter, Header, Query
from starlette.concurrency import run_in_threadpool
from starlette.responses import StreamingResponse

from ribstitch.api.deps import ProjectId, Service, ServiceDep
from ribstitch.api.identity import Reader
from ribstitch.api.openapi import refusals
from ribstitch.api.problems import INVALID, NOT_FOUND
from ribstitch.services.live_changes import LiveChange, plan_version
from ribstitch.store import StoreError

router = APIRouter(
    prefix="/projects/{project_id}", tags=["Change log"], responses=refusals(INVALID, NOT_FOUND)
)

_MEDIA_TYPE: Final = "text/event-stream"
_HEADERS: Final = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
_HIGHEST: Final = 2**31 - 1
_LONGEST_SECONDS: Final = 900.0
"""Of one connection: whoever comes back is looked at again, whether they may still read."""


@router.get(
    "/events",
    summary="Changes as they are made",
    response_class=StreamingResponse,
    responses={200: {"description": "Events", "content": {_MEDIA_TYPE: {}}}},
)
async def events(
    project_id: ProjectId,
    service: ServiceDep,
    person: Reader,  # noqa: ARG001 - who reads the plan may follow it
    after: Annotated[
        int | None,
        Query(ge=0, le=_HIGHEST, description="Those after this plan version; without it, new ones"),
    ] = None,
    last_event_id: Annotated[
        str | None, Header(description="The `id` of the last event, after a connection broke")
    ] = None,
) -> StreamingResponse:
    """
    Send one server-sent event `change` for each action, until the reader hangs up.

    Its `id` is the plan version that the action led to; its data say who did what when, the
    kinds and keys of the first hundred things (`count` of all), and the forecast finish. With
    the last `id` a reader that comes back gets what it missed: nothing is lost, nothing comes
    twice. Every 15 seconds without a change there is an empty comment, and after a quarter of
    an hour the stream ends: the reader comes back.
    """
    now = await run_in_threadpool(plan_version, service.store, project_id)
    last = _number(last_event_id)
    start = next((one for one in (last, after) if one is not None), now)
    stream = _stream(service, project_id, start)
    return StreamingResponse(stream, media_type=_MEDIA_TYPE, headers=_HEADERS)


def _number(last_event_id: str | None) -> int | None:
    """Return the plan version that an `id` names; a foreign one names none."""
    text = last_event_id or ""
    is_number = text.isascii() and text.isdecimal() and len(text) < 10
    return int(text) if is_number else None


async def _stream(service: Service, project_id: int, after: int) -> AsyncIterator[bytes]:
    """Yield what is sent; a database that does not answer ends it, and the reader comes back."""
    yield b": here\n\n"
    loop = asyncio.get_running_loop()
    end = loop.time() + _LONGEST_SECONDS
    try:
        async for change in service.live.follow(project_id, after):
            yield b":\n\n" if change is None else _event(change)
            if loop.time() > end:
                return
    except StoreError:
        return


def _event(change: LiveChange) -> bytes:
    """Return a change as a server-sent event."""
    content: dict[str, Any] = {
        "plan_version": change.plan_version,
        "at": change.at,
        "who": change.who,
        "role": change.role,
        "action": change.action,
        "changed": [{"kind": kind, "key": key} for kind, key in change.changed],
        "count": change.count,
        "finish": change.finish,
    }
    return b"id: %d\nevent: change\ndata: %b\n\n" % (change.plan_version, orjson.dumps(content))
