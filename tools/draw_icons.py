"""
Draw the icons of the first screen of a telephone out of the mark: two ribs and three stitches.

Run ``python -m tools.draw_icons`` after changing the mark.
"""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw

FOLDER = Path(__file__).resolve().parents[1] / "web" / "img"
PAPER, INK = "#fbfaf5", "#1b2430"
GRID = 48
"""Lines across an icon: the mark takes the middle 32, for a round cut takes the corners."""
FINE = 4
"""Times as large as it is drawn, so that its edges come out smooth."""


def icon(size: int) -> Image.Image:
    """Return the mark on paper, `size` points wide and high."""
    step = size * FINE / GRID
    picture = Image.new("RGB", (size * FINE, size * FINE), PAPER)
    draw = ImageDraw.Draw(picture)

    def line(left: float, top: float, right: float, bottom: float) -> None:
        corners = (left + 8, top + 8, right + 8, bottom + 8)
        draw.rectangle([round(one * step) for one in corners], fill=INK)

    for rib in (6, 26):
        line(rib - 1, 4, rib + 1, 28)
    for stitch in (8, 16, 24):
        for start in (6.0, 13.5, 21.0):
            line(start, stitch - 1.5, min(start + 5, 26), stitch + 1.5)
    return picture.resize((size, size), Image.Resampling.LANCZOS)


def main() -> None:
    """Write the icons."""
    for size in (192, 512):
        icon(size).save(FOLDER / f"icon-{size}.png", optimize=True)


if __name__ == "__main__":
    main()
