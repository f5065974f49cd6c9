"""Take the pictures of the documents from a fresh demo: ``python -m tools.take_screenshots``.

Names narrow it down: ``python -m tools.take_screenshots today look/card-night``.
"""

from __future__ import annotations

import io
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from PIL import Image
from playwright.sync_api import Browser, Page

from tests.support.browser import NO_TOUR, running_browser
from tests.support.service import running_demo

Look = Literal["day", "night", "print"]

IMAGES = Path(__file__).resolve().parents[1] / "docs" / "images"
DESK: Final = (1440, 900)
PHONE: Final = (390, 844)
PAPER: Final = (794, 1123)
LANDSCAPE: Final = (1123, 794)
"""Of a window, and of A4 paper. [CSS pixels]"""
_WIDEST = 1000
"""To which a picture is made smaller. [px]"""
_QUALITY = 32
_AROUND = 4
"""Of what is around a part. [px]"""
_ROLES = {"forecast": "owner", "money": "owner", "what-if": "planner", "settings": "planner"}
_SHEETS = (
    "today", "evaluation", "schedule", "away", "crew", "what-if", "forecast", "money", "records",
    "settings",
)  # fmt: skip


@dataclass(frozen=True)
class Shot:
    """One picture: what is opened, how, and which part of it is taken."""

    name: str
    sheet: str
    size: tuple[int, int] = DESK
    look: Look = "day"
    part: str | None = None
    """A selector; without one all that is in the window."""
    tallest: int | None = None
    """Of a part, how much is taken from its upper edge. [px]"""


_PIECES: Final = (
    ("title-block", "today", ".title-block dl", None),
    ("map", "today", "#airframe svg", None),
    ("legend", "today", "#airframe .legend", None),
    ("band", "forecast", "#answer .dimension", None),
    ("key", "schedule", "#key", None),
    ("lanes", "schedule", "#lanes", 330),
    ("card", "today", "#in-work .card", None),
    ("stamps", "records", "#checks", 78),
    ("money-rule", "money", ".money-rule", None),
)  # fmt: skip
"""What docs/look.md shows of a sheet, as it is by day, by night and on paper."""


def shots() -> Iterator[Shot]:
    """Name every picture of the documents."""
    for sheet in _SHEETS:
        yield Shot(sheet, sheet)
        yield Shot(f"{sheet}-phone", sheet, PHONE)
    yield Shot("today-night", "today", look="night")
    yield Shot("schedule-night", "schedule", look="night")
    yield Shot("today-paper", "today", PAPER, look="print")
    yield Shot("statement-paper", "statement?month=2026-09", PAPER, look="print")
    for name, sheet, part, tallest in _PIECES:
        paper = LANDSCAPE if sheet == "schedule" else PAPER
        for look, size in (("day", DESK), ("night", DESK), ("print", paper)):
            yield Shot(f"look/{name}-{look}", sheet, size, look, part, tallest)  # type: ignore[arg-type]


def main() -> None:
    """Take the pictures that are asked for, or all."""
    wanted = set(sys.argv[1:])
    (IMAGES / "look").mkdir(parents=True, exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        running_demo(Path(folder)) as address,
        running_browser() as browser,
    ):
        for shot in shots():
            if not wanted or shot.name in wanted:
                page = _opened(browser, address, shot)
                _keep(shot.name, _taken(page, shot))
                page.context.close()


def _opened(browser: Browser, address: str, shot: Shot) -> Page:
    """Open a sheet as the person it is for, complete and at rest."""
    width, height = shot.size
    context = browser.new_context(
        base_url=address,
        viewport={"width": width, "height": height},
        locale="en-IE",
        timezone_id="Europe/Dublin",
        reduced_motion="reduce",
        color_scheme="dark" if shot.look == "night" else "light",
        service_workers="block",
    )
    context.add_init_script(NO_TOUR)
    page = context.new_page()
    role = _ROLES.get(shot.sheet.split("?")[0], "lead")
    page.request.put("/api/v1/session", data={"role": role})
    page.goto(f"/{shot.sheet}")
    page.locator("main[aria-busy='false']").wait_for()
    page.wait_for_load_state("networkidle")
    if shot.look == "print":
        page.emulate_media(media="print")
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.wait_for_timeout(500)
    return page


def _taken(page: Page, shot: Shot) -> bytes:
    """Take the window, or a part of the page from its upper edge."""
    if shot.part is None:
        return page.screenshot()
    part = page.locator(shot.part).first
    part.scroll_into_view_if_needed()
    box = part.bounding_box()
    if box is None:
        raise RuntimeError(f"{shot.name}: {shot.part} is not in sight on {shot.sheet}.")
    left, top = page.evaluate("[scrollX, scrollY]")
    return page.screenshot(
        full_page=True,
        clip={
            "x": max(0, box["x"] + left - _AROUND),
            "y": max(0, box["y"] + top - _AROUND),
            "width": box["width"] + 2 * _AROUND,
            "height": min(box["height"], shot.tallest or box["height"]) + 2 * _AROUND,
        },
    )


def _keep(name: str, taken: bytes) -> None:
    """Keep a picture, small enough for a page of text."""
    picture = Image.open(io.BytesIO(taken)).convert("RGB")
    if picture.width > _WIDEST:
        height = round(picture.height * _WIDEST / picture.width)
        picture = picture.resize((_WIDEST, height), Image.Resampling.LANCZOS)
    picture.save(IMAGES / f"{name}.webp", quality=_QUALITY, method=6)


if __name__ == "__main__":
    main()
