"""Sentences of the service are found again in another language: web/js/lib/phrases.js alone."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.support.made_up import words
from tests.support.phrases import Reader, reader_in

TEXTS = {
    "{0} is held: {1}.": "{1} hält {0} auf.",
    "Waits for {0}.": "Wartet auf {0}.",
    "Waits for {0} ({1}), planned until {2}.": "Wartet auf {0} ({1}), geplant bis {2}.",
    "the only {0}, who first does {1}": "die einzige {0}, die erst {1} macht",
    "{0} waits {1} for {2}.": "{0} wartet {1} auf {2}.",
    'If "{0}" did not happen': 'Träte "{0}" nicht ein',
    "{0}, the finish would come {1} sooner on average.": "{0}, wäre man {1} eher fertig.",
    "{0} and {1}": "{0} und {1}",
    "{n} day | {n} days": {"one": "{n} día", "other": "{n} días"},
    "{n} week | {n} weeks": {"one": "{n} Woche", "other": "{n} Wochen"},
    "no word for {0}": "seit {0} kein Wort",
    "grace of {0}, needed by {1}": "{0} Luft, gebraucht am {1}",
    "paint not here": "Farbe fehlt",
    "paint": "Farbe",
    "metal": "Metall",
    "wood": "Holz",
}


@pytest.fixture(scope="module")
def reader(browser: Browser) -> Iterator[Reader]:
    """A window for all of them."""
    with reader_in(browser) as found:
        yield found


@pytest.mark.parametrize(
    ("sentence", "told"),
    [
        ("The fin is held: paint not here.", "Farbe fehlt hält The fin auf."),
        ("Paint", "Farbe"),
        ("Nobody ever said this.", "Nobody ever said this."),
        ("Waits for 1 day. Waits for 2.5 days.", "Wartet auf 1 día. Wartet auf 2.5 días."),
        ("Waits for F1, F2 and F3.", "Wartet auf F1, F2 und F3."),
        ("metal, wood and paint", "Metall, Holz und Farbe"),
        ('If "Glue. It failed" did not happen', 'Träte "Glue. It failed" nicht ein'),
        (
            "Waits for the only fitter, who first does Fin: fit (F1), planned until 2027-01-05.",
            "Wartet auf die einzige fitter, die erst Fin: fit macht (F1), geplant bis 2027-01-05.",
        ),
        (
            "Fin: fit waits 3 weeks for the only fitter, who first does Tail: fit.",
            "Fin: fit wartet 3 Wochen auf die einzige fitter, die erst Tail: fit macht.",
        ),
        (
            'If "Rot" did not happen, the finish would come 3 days sooner on average.',
            'Träte "Rot" nicht ein, wäre man 3 días eher fertig.',
        ),
        (
            "Engine: no word for 30 days; grace of 1 day, needed by 2027-03-15.",
            "Engine: seit 30 días kein Wort; 1 día Luft, gebraucht am 2027-03-15.",
        ),
    ],
)  # fmt: skip
def test_a_sentence_is_told_with_its_slots(reader: Reader, sentence: str, told: str) -> None:
    assert reader.read(TEXTS, [sentence]) == [told]


@pytest.mark.parametrize(
    "name",
    ["Hub and blades", "Fin: check; paint; bag", "Wheels and brakes: paint", "Paint and sand"],
)
def test_a_name_stays_as_it_was_typed(reader: Reader, name: str) -> None:
    assert reader.read(TEXTS, [f"Waits for {name}."]) == [f"Wartet auf {name}."]


def test_a_sheet_of_sentences_is_read_in_no_time(reader: Reader) -> None:
    """300 sentences, none like another, among all texts that there are."""
    texts = words()["texts"]
    sentences = [
        f"Rib {number}: fit waits {number} days for the only metalworker, who first does "
        f"Frame {number}: prime; seal."
        for number in range(300)
    ]
    told = reader.read(texts, sentences)
    assert all("waits" not in one and "first" not in one for one in told)
    assert reader.took < 1000, "in milliseconds, beside other tests"
