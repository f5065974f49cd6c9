"""Draw what stands in for photos in the demo: plain sketches, so that nobody takes them for photos.

Run ``python -m tools.draw_photos``; it also writes sizes and digests into ``evidence.csv``, from
which the demo's plan file is built.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterable
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Final

from PIL import Image, ImageChops, ImageDraw, ImageFont

Point = tuple[float, float]

FOLDER: Final = Path(__file__).resolve().parents[1] / "seed_data" / "garganey"
SIZE: Final = (960, 720)
_FINER: Final = 3
"""Drawn so many times larger, so that lines come out smooth."""
_PAPER, _INK, _SOFT = 246, 30, 130
_SHADES: Final = 12


class Sketch:
    """A sheet to draw on, in points of the finished picture."""

    def __init__(self, place: str) -> None:
        self._image = Image.new("L", (SIZE[0] * _FINER, SIZE[1] * _FINER), _PAPER)
        self._draw = ImageDraw.Draw(self._image)
        self.line([(24, 24), (936, 24), (936, 696), (24, 696), (24, 24)], 2)
        self.text((40, 656), place, 26)
        self.text((700, 662), "drawn, not a photo", 20, _SOFT)

    def line(self, points: Iterable[Point], width: float = 3, shade: int = _INK) -> None:
        """Draw a line through some points."""
        self._draw.line(_finer(points), shade, round(width * _FINER), joint="curve")

    def shape(self, points: Iterable[Point], width: float = 3, fill: int | None = None) -> None:
        """Draw a closed outline."""
        corners = _finer(points)
        if fill is not None:
            self._draw.polygon(corners, fill)
        self._draw.line([*corners, corners[0]], _INK, round(width * _FINER), joint="curve")

    def round(
        self, middle: Point, radius: float, width: float = 3, fill: int | None = None
    ) -> None:
        """Draw a circle."""
        x, y = middle
        box = _finer([(x - radius, y - radius), (x + radius, y + radius)])
        self._draw.ellipse(box, fill, _INK, round(width * _FINER))

    def rivets(self, start: Point, end: Point, count: int, radius: float = 6) -> None:
        """Draw a row of rivets."""
        for number in range(count):
            share = number / (count - 1)
            middle = tuple(a + share * (b - a) for a, b in zip(start, end, strict=True))
            self.round((middle[0], middle[1]), radius, 2, _PAPER)

    def hatch(
        self, points: Iterable[Point], angle: float, apart: float, width: float = 1.5
    ) -> None:
        """Fill an area with parallel lines; `angle` [degrees], `apart` [points]."""
        mask = Image.new("L", self._image.size, 0)
        ImageDraw.Draw(mask).polygon(_finer(points), 255)
        lines = Image.new("L", self._image.size, 255)
        draw = ImageDraw.Draw(lines)
        turn, far = math.radians(angle), 2 * sum(self._image.size)
        across = (math.cos(turn) * far, math.sin(turn) * far)
        for step in range(-2_000, 2_000):
            x, y = (step * apart * _FINER * one for one in (-math.sin(turn), math.cos(turn)))
            draw.line(
                [(x - across[0], y - across[1]), (x + across[0], y + across[1])],
                _INK,
                round(width * _FINER),
            )
        outside = ImageChops.invert(mask)
        self._image.paste(ImageChops.darker(self._image, ImageChops.lighter(lines, outside)))

    def note(self, at: Point, text_at: Point, text: str) -> None:
        """Point at something and say what it is."""
        self.line([at, text_at], 2)
        self.round(at, 5, 2, _INK)
        self.text((text_at[0] + 8, text_at[1] - 16), text, 26)

    def text(self, at: Point, text: str, size: int, shade: int = _INK) -> None:
        """Write a word."""
        font = ImageFont.load_default(size * _FINER)
        self._draw.text((at[0] * _FINER, at[1] * _FINER), text, shade, font)

    def save(self, file: Path) -> None:
        """Write the sheet as a small PNG."""
        small = self._image.resize(SIZE, Image.Resampling.LANCZOS)
        small.quantize(_SHADES).save(file, "PNG", optimize=True)


def _finer(points: Iterable[Point]) -> list[Point]:
    return [(x * _FINER, y * _FINER) for x, y in points]


def _blot(middle: Point, radius: float, seed: int) -> list[Point]:
    """Return an uneven round outline."""
    luck = Random(seed)  # noqa: S311 - always the same picture
    turns = [math.tau * step / 28 for step in range(28)]
    reach = [radius * luck.uniform(0.72, 1.18) for _ in turns]
    return [
        (middle[0] + far * math.cos(turn), middle[1] + 0.7 * far * math.sin(turn))
        for turn, far in zip(turns, reach, strict=True)
    ]


def bow_plating(sketch: Sketch) -> None:
    """Two dented panels between frames."""
    for x in (150, 400, 650, 860):
        sketch.line([(x, 70), (x - 30, 600)], 3)
        sketch.rivets((x - 14, 90), (x - 42, 580), 16)
    sketch.line([(90, 110), (900, 70)], 4)
    sketch.line([(60, 590), (860, 610)], 4)
    for middle, seed in (((500, 300), 1), ((270, 400), 2)):
        for radius in (95, 66, 36):
            sketch.line([*(dent := _blot(middle, radius, seed)), dent[0]], 2)
    sketch.hatch(_blot((500, 300), 36, 1), 45, 8)
    sketch.hatch(_blot((270, 400), 36, 2), 45, 8)
    sketch.note((520, 320), (665, 500), "14 mm deep")


def hull_patch(sketch: Sketch) -> None:
    """A riveted patch over a cut-out."""
    outer = [(230, 150), (690, 130), (740, 200), (730, 510), (670, 560), (250, 570), (200, 500),
             (190, 210)]  # fmt: skip
    sketch.line([(60, 90), (900, 60)], 3)
    sketch.line([(60, 620), (900, 630)], 3)
    sketch.shape(outer, 4, 236)
    inner = [(465 + 0.62 * (x - 465), 350 + 0.6 * (y - 350)) for x, y in outer]
    for (ax, ay), (bx, by) in zip(inner, [*inner[1:], inner[0]], strict=True):
        sketch.line([(ax, ay), (bx, by)], 1.5, _SOFT)
    for scale, radius in ((0.92, 7), (0.76, 7)):
        ring = [(465 + scale * (x - 465), 350 + scale * (y - 350)) for x, y in outer]
        for start, end in zip(ring, [*ring[1:], ring[0]], strict=True):
            sketch.rivets(start, end, max(3, round(math.dist(start, end) / 42)), radius)
    sketch.note((640, 470), (760, 590), "two rows")


def bottom_panel(sketch: Sketch) -> None:
    """A thin planing bottom panel, its pits hatched and measured."""
    sketch.shape([(110, 130), (830, 90), (870, 560), (140, 610)], 4)
    sketch.rivets((132, 155), (812, 115), 26)
    sketch.rivets((160, 582), (846, 535), 26)
    for middle, radius, seed in (((330, 300), 90, 4), ((560, 410), 70, 5), ((680, 230), 48, 6)):
        pit = _blot(middle, radius, seed)
        sketch.shape(pit, 2)
        sketch.hatch(pit, 60, 9)
    for at, told in (((330, 300), "0.6"), ((560, 410), "0.7"), ((680, 230), "0.9")):
        sketch.round(at, 26, 2, _PAPER)
        sketch.text((at[0] - 18, at[1] - 14), told, 24)
    sketch.text((150, 45), "sheet left, mm (new: 1.2)", 28)


def keelson(sketch: Sketch) -> None:
    """A splice angle on the keelson flange."""
    sketch.shape([(60, 360), (900, 330), (900, 400), (60, 430)], 4)
    sketch.shape([(60, 430), (900, 400), (900, 560), (60, 600)], 3)
    splice = [(270, 300), (720, 284), (720, 420), (270, 437)]
    sketch.shape(splice, 4, 238)
    sketch.hatch(splice, 135, 16, 1)
    sketch.rivets((295, 330), (695, 316), 11, 8)
    sketch.rivets((295, 405), (695, 391), 11, 8)
    sketch.line([(495, 250), (495, 590)], 2, _SOFT)
    sketch.note((620, 350), (700, 180), "splice angle")
    sketch.text((440, 210), "step, frame 6", 26)


def canopy(sketch: Sketch) -> None:
    """Fine cracks from the edge of a clear panel."""
    sketch.line([(120, 600), (160, 260), (330, 120), (650, 110), (820, 300), (850, 600)], 5)
    sketch.line([(165, 600), (200, 280), (350, 165), (630, 155), (775, 315), (800, 600)], 2)
    sketch.line([(120, 600), (850, 600)], 5)
    sketch.rivets((190, 580), (780, 580), 18, 5)
    luck = Random(7)  # noqa: S311 - always the same picture
    for _ in range(46):
        x, y = 640 + luck.gauss(0, 42), 230 + luck.gauss(0, 34)
        turn = luck.uniform(0.6, 1.5)
        crack = [(x, y)]
        for _step in range(4):
            turn += luck.uniform(-0.4, 0.4)
            crack.append((crack[-1][0] + 14 * math.cos(turn), crack[-1][1] + 14 * math.sin(turn)))
        sketch.line(crack, 1.4)
    sketch.note((640, 260), (420, 420), "crazed")


def rib_glue(sketch: Sketch) -> None:
    """A rear rib whose glue line stands open beside the spar."""
    spar = [(620, 80), (700, 80), (700, 620), (620, 620)]
    sketch.shape(spar, 4)
    for x in (634, 652, 668, 684):
        sketch.line([(x, 84), (x + 3, 616)], 1, _SOFT)
    sketch.shape([(80, 180), (620, 150), (620, 205), (80, 232)], 3)
    sketch.shape([(80, 520), (620, 545), (620, 492), (80, 470)], 3)
    sketch.shape([(100, 232), (150, 230), (600, 490), (540, 488)], 2)
    sketch.shape([(100, 470), (150, 472), (600, 206), (545, 208)], 2)
    gusset = [(470, 170), (612, 164), (612, 330), (560, 310)]
    sketch.shape(gusset, 3, 236)
    sketch.hatch(gusset, 20, 12, 1)
    opened = [(610, 168), (622, 166), (624, 325), (612, 330)]
    sketch.shape(opened, 2, _INK)
    sketch.note((617, 250), (730, 330), "open 0.4 mm")


def mount_crack(sketch: Sketch) -> None:
    """A crack beside the weld of a tube cluster."""
    for start, end in (((90, 330), (470, 350)), ((480, 360), (840, 130)), ((480, 360), (820, 590))):
        turn = math.atan2(end[1] - start[1], end[0] - start[0])
        dx, dy = 36 * math.sin(turn), -36 * math.cos(turn)
        sketch.shape(
            [(start[0] + dx, start[1] + dy), (end[0] + dx, end[1] + dy),
             (end[0] - dx, end[1] - dy), (start[0] - dx, start[1] - dy)], 3, _PAPER,
        )  # fmt: skip
    sketch.round((480, 358), 62, 4, 236)
    for step in range(22):
        turn = math.tau * step / 22
        sketch.round((480 + 62 * math.cos(turn), 358 + 62 * math.sin(turn)), 9, 1.5, _PAPER)
    crack = [(384, 306), (392, 322), (382, 336), (395, 352), (384, 368), (394, 384)]
    sketch.line(crack, 4)
    sketch.note((390, 345), (180, 520), "crack 22 mm")


def thrust_bearing(sketch: Sketch) -> None:
    """A bearing race with marks of the balls."""
    for radius, width in ((250, 5), (205, 2), (120, 2), (80, 5)):
        sketch.round((450, 350), radius, width)
    for step in range(14):
        turn = math.tau * step / 14
        middle = (450 + 162 * math.cos(turn), 350 + 162 * math.sin(turn))
        sketch.round(middle, 27, 3, _PAPER)
        if 1 <= step <= 4:
            mark = _blot(middle, 17, step)
            sketch.shape(mark, 1.5)
            sketch.hatch(mark, 45, 6)
    sketch.note((560, 470), (720, 560), "pitted")


SKETCHES: Final[dict[str, tuple[str, Callable[[Sketch], None]]]] = {
    "bow-plating": ("Bow, frames 1 to 4", bow_plating),
    "hull-patch": ("Aft hull, left side", hull_patch),
    "bottom-panel": ("Planing bottom, panel 7", bottom_panel),
    "keelson-splice": ("Keelson at the step", keelson),
    "crazed-canopy": ("Canopy, second panel", canopy),
    "rib-glue-line": ("Left wing, rib 9 at rear spar", rib_glue),
    "mount-ring-crack": ("Engine mount ring, upper left", mount_crack),
    "thrust-bearing": ("Propeller hub", thrust_bearing),
}


def main() -> None:
    """Draw all sketches, and write down what the files are."""
    for name, (place, draw) in SKETCHES.items():
        sketch = Sketch(place)
        draw(sketch)
        sketch.save(FOLDER / "photos" / f"{name}.png")
    _note_files(FOLDER / "evidence.csv")


def _note_files(table: Path) -> None:
    """Put size and digest of every file into the table."""
    with table.open(encoding="utf-8", newline="") as source:
        lines = list(csv.DictReader(source))
    for line in lines:
        content = (FOLDER / "photos" / line["file"]).read_bytes()
        line |= {"bytes": str(len(content)), "sha256": sha256(content).hexdigest()}
    with table.open("w", encoding="utf-8", newline="") as target:
        writer = csv.DictWriter(target, list(lines[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(lines)


if __name__ == "__main__":
    main()
