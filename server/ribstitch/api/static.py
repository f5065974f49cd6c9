"""The pages and what they load; nothing comes from another host."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from ribstitch.api import kept_sheet
from ribstitch.api.headers import REVALIDATE
from ribstitch.api.identity import is_open, known_in, person_of
from ribstitch.api.packed_files import PackedFiles
from ribstitch.assets import web_folder

PAGES: Final = (
    "today", "evaluation", "evaluation-report", "method-cards", "schedule", "away", "crew",
    "what-if", "forecast", "money", "statement", "records", "packing-list", "settings", "import",
    "new-project", "sign-in", "account", "people", "help",
)  # fmt: skip
_BY_LINK: Final = "join"
"""The page that only a one-time link leads to."""
_FIRST_PAGE: Final = {
    "lead": "/today", "owner": "/forecast", "planner": "/what-if", "viewer": "/forecast",
}  # fmt: skip


def install(router: APIRouter, web: Path) -> None:
    """Serve the pages of a folder."""
    router.add_api_route("/", _first_page, include_in_schema=False)
    for name in (*PAGES, _BY_LINK):
        router.add_api_route(f"/{name}", _page(web / f"{name}.html"), include_in_schema=False)
    kept_sheet.install(router, web)
    router.mount("/assets", PackedFiles(directory=web, check_dir=False), name="assets")


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
