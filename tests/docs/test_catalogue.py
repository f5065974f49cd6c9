"""The catalogue has every text that a reader of the sheets sees, as the code says it now."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from ribstitch.assets import web_folder
from tests.support.made_up import words
from tools.catalogue import script_texts, sentences, unmarked
from tools.write_catalogue import CATALOGUE, catalogue, text

WEB = web_folder()
MODULES = sorted((WEB / "js").rglob("*.js"))
LISTED = re.search(r"LANGUAGES = \[(.*)\]", (WEB / "js" / "languages.js").read_text("utf-8"))
LANGUAGES = re.findall(r'"(\w+)"', LISTED[1] if LISTED else "")


def faults(language: dict[str, Any]) -> list[str]:
    """Return what a file of a language says that the pages cannot use."""
    known = catalogue()
    found = []
    for key, said in language["texts"].items():
        forms = said if isinstance(said, dict) else {"other": said}
        if key not in known:
            found.append(f"no page says: {key}")
        elif isinstance(said, dict) != (" | " in key) or (
            forms and " | " in key and "other" not in said
        ):
            found.append(f"a text with a number has forms, one of them other: {key}")
        elif any(_slots(form) - _slots(key) for form in map(str, forms.values())):
            found.append(f"a slot that its text does not have: {key}")
    return found


def _slots(said: str) -> set[str]:
    return set(re.findall(r"\{\w+\}", said))


def test_the_catalogue_is_what_the_code_says() -> None:
    """If this fails, run ``python -m tools.write_catalogue``."""
    assert CATALOGUE.read_text(encoding="utf-8") == text()


@pytest.mark.parametrize("module", MODULES, ids=lambda one: one.name)
def test_a_module_marks_what_its_reader_sees(module: Path) -> None:
    """If this fails, write t`Hours` instead of "Hours", or many(count, "{n} day", "{n} days")."""
    assert list(unmarked(module)) == []


def test_a_text_that_is_not_marked_is_seen(tmp_path: Path) -> None:
    module = tmp_path / "made.js"
    module.write_text(
        'el("p", {}, "late");\nsay(`${days} too late`);\nel("b", { title: "Late" }, t`late`);\n'
        'const names = { held: "Held up" };\nfind.closest("main h2");\nel("p.soft", {}, name);\n',
        encoding="utf-8",
    )
    assert {one.split(": ", 1)[1] for one in unmarked(module)} == {
        '"late"', "`${days} too late`", '"Late"', '"Held up"',
    }  # fmt: skip


def test_slots_and_numbers_of_a_module_are_found(tmp_path: Path) -> None:
    module = tmp_path / "made.js"
    module.write_text(
        "t`${a.b} of ${c({ d: `${e}` })}\\u00a0m`;\n"
        'many(n, "{n} day of {0}", "{n} days of {0}", who);\n',
        encoding="utf-8",
    )
    first, second = script_texts(module)
    assert (first.key, first.slots) == ("{0} of {1}\u00a0m", ("a.b", "c({ d: `${e}` })"))
    assert (second.key, second.slots) == ("{n} day of {0} | {n} days of {0}", ("who",))


def test_a_sentence_of_the_service_is_found_in_each_of_its_forms(tmp_path: Path) -> None:
    module = tmp_path / "made.py"
    module.write_text(
        '"""No sentence for a reader."""\n'
        "told = f\"The {part} {'is' if one else 'are'} {plural(days, 'day')} late.\"\n"
        "who = ' or '.join(names)\n",
        encoding="utf-8",
    )
    assert {one.key for one in sentences(module)} == {
        "The {0} is {1} late.", "The {0} are {1} late.", "{n} day | {n} days",
        "{0} or {1}",
    }  # fmt: skip


def test_what_stands_in_a_name_or_a_template_is_found_as_well(tmp_path: Path) -> None:
    module = tmp_path / "made.py"
    module.write_text(
        'IF = {"risk": \'If "{}" did not happen\'}\n'
        "def told(one, days):\n"
        '    side = "sooner" if days > 0 else "later"\n'
        '    more = f", and {days} more" if days else ""\n'
        '    return f"{one} comes {side}{more}."\n',
        encoding="utf-8",
    )
    assert {one.key for one in sentences(module)} >= {
        'If "{0}" did not happen', "{0} comes sooner, and {1} more.", "{0} comes later.",
    }  # fmt: skip


def test_the_words_that_are_explained_are_in_the_catalogue() -> None:
    known = catalogue()
    meaning = "A region of the airframe, such as the tail or the left wing."
    assert all("glossary.json" in known[text]["where"] for text in ("zone", "Zone", meaning))


def test_the_words_of_the_trade_are_in_the_catalogue() -> None:
    """Those of the tables that are shipped; what a shop edits, such as its cards, is not."""
    known = catalogue()
    assert known["missing or wrong"]["where"] == ["condition_grades.csv"]
    assert {
        "Re-cover",
        "Fuel",
        "Glazing",
        "lead chromate",
        "historic aircraft outside the EU rules",
    } <= known.keys()
    assert "Receive and make safe" not in known


def test_each_language_is_listed_and_fits_the_catalogue() -> None:
    files = {one.stem for one in (WEB / "words").glob("*.json")} - {"texts", "glossary"}
    assert files == set(LANGUAGES)
    for name in LANGUAGES:
        assert faults(json.loads((WEB / "words" / f"{name}.json").read_text("utf-8"))) == []


def test_a_language_that_does_not_fit_is_told_of() -> None:
    language = words()
    assert faults(language) == []
    language["texts"].update({"Never said": "x", "{n} day | {n} days": "x", "Hours": "{0} x"})
    assert {one.split(": ")[1] for one in faults(language)} == {
        "{n} day | {n} days", "Hours", "Never said",
    }  # fmt: skip


def test_the_names_of_the_plan_that_the_change_log_tells_are_in_the_catalogue() -> None:
    assert {"held reason", "crew link", "remaining days", "target finish"} <= catalogue().keys()
