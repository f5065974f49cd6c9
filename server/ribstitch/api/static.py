"""The pages and what they load; nothing comes from another host.

Every file is revalidated by its ETag, so that after an upgrade no browser shows an old
page with a new script.
"""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Final

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from ribstitch.api import kept_sheet
from ribstitch.api.conditional import matches
from ribstitch.api.headers import REVALIDATE
from ribstitch.api.identity import is_open, known_in, person_of
from ribstitch.assets import web_folder

PAGES: Final = (
    "today", "evaluation", "evaluation-report", "method-cards", "schedule", "away", "crew",
    "what-if", "forecast", "money", "statement", "records", "packing-list", "settings", "import",
    "new-project", "sign-in", "account", "people",
)  # fmt: skip
_BY_LINK: Final = "join"
"""The page that only a one-time link leads to."""
_FIRST_PAGE: Final = {
    "lead": "/today", "owner": "/forecast", "planner": "/what-if", "viewer": "/forecast",
}  # fmt: skip


class Assets(StaticFiles):
    """Files of a folder, revalidated on every use."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Return a file; the browser keeps it but asks whether it is still the same."""
        response = await super().get_response(path, scope)
        response.headers.update(REVALIDATE)
        return response


def install(app: FastAPI, web: Path) -> None:
    """Serve the pages of a folder."""
    app.add_api_route("/", _first_page, include_in_schema=False)
    for name in (*PAGES, _BY_LINK):
        app.add_api_route(f"/{name}", _page(web / f"{name}.html"), include_in_schema=False)
    app.add_api_route("/assets/plotly.min.js", plotly_script, include_in_schema=False)
    kept_sheet.install(app, web)
    app.mount("/assets", Assets(directory=web, check_dir=False), name="assets")


def is_page_wanted(request: Request) -> bool:
    """Return whether a person follows a link to a page, and no program asks."""
    path, method = request.url.path, request.method
    return (
        method == "GET"
        and not path.startswith(("/api/", "/assets/"))
        and _accepts_html(request.headers.get("accept", ""))
    )


def no_such_page() -> Response:
    """Return the page that stands in for one that is not there."""
    headers = {"Cache-Control": "no-store", "Vary": "Accept"}
    return FileResponse(web_folder() / "not-found.html", 404, headers=headers)


def _accepts_html(accept: str) -> bool:
    """Return whether an Accept header names HTML (RFC 9110, section 12.5.1)."""
    for one in accept.lower().split(","):
        kind, *parameters = (part.strip() for part in one.split(";"))
        if kind == "text/html":
            return not any(re.fullmatch(r"q=0(\.0*)?", part) for part in parameters)
    return False


def _first_page(request: Request) -> Response:
    """Lead to the page that the role looks at first, or to the sign-in."""
    query = f"?{request.url.query}" if request.url.query else ""
    page = _FIRST_PAGE[_role(request)] if _may_look(request) else "/sign-in"
    return RedirectResponse(page + query, 303, headers={"Cache-Control": "no-store"})


def _may_look(request: Request) -> bool:
    return is_open(request) or known_in(request) is not None


def _role(request: Request) -> str:
    """Return the role, where people sign in that of their first project."""
    known = known_in(request)
    return person_of(request).role if known is None else known.first_role


def _page(file: Path) -> Callable[[], Response]:
    """Return an endpoint that serves one page."""

    def page() -> Response:
        return FileResponse(file, headers=REVALIDATE)

    return page


def plotly_script(request: Request) -> Response:
    """Serve Plotly's script out of the installed package."""
    packed, tag = _plotly()
    headers = {"ETag": tag, "Vary": "Accept-Encoding", **REVALIDATE}
    if matches(request.headers.get("if-none-match"), tag):
        return Response(status_code=304, headers=headers)
    if "gzip" in request.headers.get("accept-encoding", ""):
        headers["Content-Encoding"] = "gzip"
        return Response(packed, media_type="text/javascript", headers=headers)
    return Response(gzip.decompress(packed), media_type="text/javascript", headers=headers)


@lru_cache(maxsize=1)
def _plotly() -> tuple[bytes, str]:
    """Compress Plotly's script once, on first use; return it with its ETag."""
    import plotly

    script = Path(plotly.__file__).parent / "package_data" / "plotly.min.js"
    plain = script.read_bytes()
    return gzip.compress(plain, 6, mtime=0), f'W/"{sha256(plain).hexdigest()[:16]}"'
