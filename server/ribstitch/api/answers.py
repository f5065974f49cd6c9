"""Encoded answers, kept until the plan changes.

What a plan's pages read depends on the plan alone, so an answer is encoded and tagged
once for each version of the plan and question, and served as bytes from then on. What
lacks its simulation, which still runs, is neither kept nor tagged.
"""

from __future__ import annotations

from collections import OrderedDict
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

_MOST_BYTES = 24_000_000
"""How much is kept at most; the answers that were not asked for longest go first."""

Question = tuple[int, int, str, str, int]
"""Project, plan version, path, query, edition."""


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
    """Answers by question; safe to use from several threads."""

    def __init__(self, most_bytes: int = _MOST_BYTES) -> None:
        self._most_bytes = most_bytes
        self._bytes = 0
        self._kept: OrderedDict[Question, Encoded] = OrderedDict()
        self._lock = Lock()

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
            Whether the plan (and the edition) settle the content: it is not kept otherwise.
        edition
            Counts what else the content depends on.
        """
        if not is_settled:
            return json_response(build())
        question = (current.project_id, current.plan_version, str(request.url.path),
                    request.url.query, edition)  # fmt: skip
        with self._lock:
            encoded = self._kept.get(question)
            if encoded is not None:
                self._kept.move_to_end(question)
        if encoded is None:
            encoded = encode(build())
            self._keep(question, encoded)
        return respond(request, encoded)

    def _keep(self, question: Question, encoded: Encoded) -> None:
        """Keep an answer, making room for it."""
        with self._lock:
            if question in self._kept or len(encoded.body) > self._most_bytes // 4:
                return
            self._kept[question] = encoded
            self._bytes += len(encoded.body)
            while self._bytes > self._most_bytes:
                _, oldest = self._kept.popitem(last=False)
                self._bytes -= len(oldest.body)


def respond(request: Request, encoded: Encoded) -> Response:
    """Return an answer, or 304 if the reader has it already."""
    headers = {**REVALIDATE, "ETag": encoded.tag}
    if matches(request.headers.get("if-none-match"), encoded.tag):
        return Response(status_code=304, headers=headers)
    return Response(encoded.body, media_type="application/json", headers=headers)


def json_response(content: Any, *, status: int = 200, **headers: str) -> Response:
    """Return plain data as an answer that nobody keeps."""
    body = orjson.dumps(content)
    return Response(
        body,
        status_code=status,
        media_type="application/json",
        headers={"Cache-Control": "no-store", **headers},
    )


def no_content() -> Response:
    """Return the answer to what is done and has nothing to tell."""
    return Response(status_code=204, headers={"Cache-Control": "no-store"})
