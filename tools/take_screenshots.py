"""Take the pictures of the documents from a fresh demo: ``python -m tools.take_screenshots``."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.support.browser import running_browser
from tests.support.service import running_demo

IMAGES = Path(__file__).resolve().parents[1] / "docs" / "images"
_SHOTS = dict.fromkeys(("today", "evaluation", "forecast"), (1440, 820))
"""Page and size of the window. [px]"""


def main() -> None:
    """Take one picture of each page, as it is first seen."""
    with (
        tempfile.TemporaryDirectory() as folder,
        running_demo(Path(folder)) as address,
        running_browser() as browser,
    ):
        for name, (width, height) in _SHOTS.items():
            page = browser.new_page(
                base_url=address,
                viewport={"width": width, "height": height},
                locale="en-IE",
                timezone_id="Europe/Dublin",
                reduced_motion="reduce",
            )
            page.goto(f"/{name}")
            page.locator("main[aria-busy='false']").wait_for()
            page.wait_for_load_state("networkidle")
            page.screenshot(path=IMAGES / f"{name}.png")
            page.close()


if __name__ == "__main__":
    main()
