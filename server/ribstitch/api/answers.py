"""Encoded answers, kept until the plan changes.

What a plan's pages read depends on the plan alone, so an answer is encoded and tagged
once for each version of the plan and question, and served as bytes from then on. So is
what lacks its simulation, which still runs; but no reader keeps that, and it has no tag.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from threading import Lock
from typing import Any

import orjson
from starlette.requests import Request
from starlette.responses import Response

from ribstitch.api.conditional import matches
from ribstitch.api.headers import REVALIDATE
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.memo import Memo

_MOST_BYTES = 24_000_000
"""How much is kept at most; the answers that were not asked for longest go first."""
_Question = tuple[int, int, str, str, int, bool]
"""Project, plan version, path, query, edition, whether it is settled."""


@dataclass(frozen=True, slots=True)
class Encoded:
    """An answer as bytes, with the tag of its content."""

    body: bytes
    tag: str


def encode(content: Any) -> Encoded:
    """
    Encode plain data (money in strings) as JSON; what is not plain is a mistake.

    The tag is made from the content, so that it also tells databases apart that were
    served on the same address one after the other.
    """
    body = orjson.dumps(content)
    return Encoded(body, f'W/"{sha256(body).hexdigest()[:20]}"')


class Answers:
    """
    Answers by question; safe to use from several threads.

    Contents are built one at a time: Python runs one thread at a time anyway, and each more
    that wants to run makes whoever records something wait longer for its turn.
    """

    def __init__(self, most_bytes: int = _MOST_BYTES) -> None:
        self._kept: Memo[_Question, Encoded] = Memo(most_bytes, weigh=lambda one: len(one.body))
        self._one_at_a_time = Lock()

    def serve(
        self,
        request: Request,
        current: CurrentPlan,
        build: Callable[[], Any],
        *,
        is_settled: bool = True,
        edition: int = 0,
    ) -> Response:
        """
        Answer a question about a plan, building the content only if it is not kept.

        Parameters
        ----------
        request
            The question.
        current
            The plan.
        build
            Returns the content as plain data.
        is_settled
            Whether the content is whole: what lacks the simulation will be another one soon.
        edition
            Counts what else the content depends on.
        """
        question = (current.project_id, current.plan_version, str(request.url.path),
                    request.url.query, edition, is_settled)  # fmt: skip
        encoded = self._kept.get(question, lambda: self._encoded(build))
        return respond(request, encoded) if is_settled else _unkept(encoded.body)

    def _encoded(self, build: Callable[[], Any]) -> Encoded:
        with self._one_at_a_time:
            return encode(build())


def respond(request: Request, encoded: Encoded) -> Response:
    """Return an answer, or 304 if the reader has it already."""
    headers = {**REVALIDATE, "ETag": encoded.tag}
    if matches(request.headers.get("if-none-match"), encoded.tag):
        return Response(status_code=304, headers=headers)
    return Response(encoded.body, media_type="application/json", headers=headers)


def json_response(content: Any, *, status: int = 200, **headers: str) -> Response:
    """Return plain data as an answer that nobody keeps."""
    return _unkept(orjson.dumps(content), status, **headers)


def no_content() -> Response:
    """Return the answer to what is done and has nothing to tell."""
    return Response(status_code=204, headers={"Cache-Control": "no-store"})


def _unkept(body: bytes, status: int = 200, **headers: str) -> Response:
    return Response(
        body,
        status_code=status,
        media_type="application/json",
        headers={"Cache-Control": "no-store", **headers},
    )
