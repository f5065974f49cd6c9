"""What the trade says of grades, treatments and chapters, out of the seed data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ribstitch.seeding import library
from ribstitch.seeding.csv_rows import rows


@dataclass(frozen=True, slots=True)
class GradeWords:
    """A condition grade."""

    grade: int
    name: str
    meaning: str


@dataclass(frozen=True, slots=True)
class TreatmentWords:
    """What a treatment usually implies (common practice, no source)."""

    treatment: str
    name: str
    implies: str
    where: str
    record_first: str
    originality: str
    """What it does to originality."""
    cards: tuple[str, ...]
    """Method cards that usually carry it out."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """A system chapter, which is also the cost code."""

    chapter: str
    title: str


@dataclass(frozen=True, slots=True)
class TradeWords:
    """All of them, in the trade's order."""

    grades: tuple[GradeWords, ...]
    treatments: tuple[TreatmentWords, ...]
    chapters: tuple[Chapter, ...]
    send_out_kinds: tuple[tuple[str, str], ...]
    """Kinds of outside work: code and name."""


@lru_cache(maxsize=1)
def trade_words() -> TradeWords:
    """
    Return what the trade says; read once.

    Raises
    ------
    FileNotFoundError
        If the installation lacks its seed data.
    """
    texts = library.shipped()
    return TradeWords(
        grades=tuple(
            GradeWords(int(row["grade"]), row["name"], row["meaning"])
            for row in rows(texts["condition_grades"])
        ),
        treatments=tuple(_treatment(row) for row in rows(texts["treatments"])),
        chapters=tuple(Chapter(row["chapter"], row["title"]) for row in rows(texts["chapters"])),
        send_out_kinds=tuple((row["kind"], row["name"]) for row in rows(texts["send_out_kinds"])),
    )


def _treatment(row: dict[str, str]) -> TreatmentWords:
    words = {name: text for name, text in row.items() if name != "cards"}
    return TreatmentWords(**words, cards=tuple(row["cards"].split()))
