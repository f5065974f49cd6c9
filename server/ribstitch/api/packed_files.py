"""What pages load, compressed once and kept, so that no request compresses anew.

Every file is revalidated by its ETag, so that after an upgrade no browser shows an old page
with a new script. What lies under `vendor/` has its version in its name and never changes:
a browser keeps it and does not ask again.
"""

from __future__ import annotations

import gzip
from functools import lru_cache
from pathlib import Path
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.responses import FileResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from ribstitch.api.headers import REVALIDATE

FOR_GOOD: Final = {"Cache-Control": "public, max-age=31536000, immutable"}
"""Of what has its version in its address: kept for a year without a question (RFC 8246)."""
_VENDOR: Final = "vendor/"
_TEXT: Final = frozenset({".js", ".css", ".json", ".svg", ".html", ".webmanifest"})


class PackedFiles(StaticFiles):
    """Files of a folder, the texts among them compressed."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Return a file, and for how long the browser may keep it."""
        response = await super().get_response(path, scope)
        response.headers.update(FOR_GOOD if path.startswith(_VENDOR) else REVALIDATE)
        if not isinstance(response, FileResponse) or Path(response.path).suffix not in _TEXT:
            return response
        response.headers["Vary"] = "Accept-Encoding"
        if "gzip" not in Headers(scope=scope).get("accept-encoding", ""):
            return response
        body = await run_in_threadpool(_packed, str(response.path), response.headers["etag"])
        headers = dict(response.headers)
        del headers["content-length"], headers["accept-ranges"]
        headers |= {"etag": f"W/{headers['etag']}", "content-encoding": "gzip"}
        return Response(body, headers=headers)


@lru_cache(maxsize=1024)
def _packed(path: str, _tag: str) -> bytes:
    """Return a file compressed, once for each of its versions."""
    return gzip.compress(Path(path).read_bytes(), 9, mtime=0)
