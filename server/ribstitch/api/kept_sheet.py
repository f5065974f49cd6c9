"""What lets a browser keep Today for times without a network."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from fastapi import APIRouter
from starlette.responses import FileResponse, Response

from ribstitch.api.headers import REVALIDATE


def install(router: APIRouter, web: Path) -> None:
    """Serve the script that keeps the sheet, from the root: it may look after all below it."""
    router.add_api_route("/service-worker.js", _worker(web), include_in_schema=False)
    router.add_api_route("/manifest.webmanifest", _manifest(web), include_in_schema=False)


def _worker(web: Path) -> Callable[[], Response]:
    """Return an endpoint that serves the script with the release that it belongs to."""

    @lru_cache(maxsize=1)
    def script() -> str:
        text = (web / "service-worker.js").read_text(encoding="utf-8")
        return text.replace('RELEASE = "unknown"', f'RELEASE = "{_release(web)}"', 1)

    def worker() -> Response:
        return Response(script(), media_type="text/javascript", headers=REVALIDATE)

    return worker


def _release(web: Path) -> str:
    """Return a digest of all that pages are made of: another one, another release."""
    digest = sha256()
    for file in sorted(web.rglob("*")):
        if file.is_file():
            digest.update(file.relative_to(web).as_posix().encode() + file.read_bytes())
    return digest.hexdigest()[:16]


def _manifest(web: Path) -> Callable[[], Response]:
    """Return an endpoint that says how Today is put on the first screen of a telephone."""
    file = web / "manifest.webmanifest"

    def manifest() -> Response:
        return FileResponse(file, media_type="application/manifest+json", headers=REVALIDATE)

    return manifest
