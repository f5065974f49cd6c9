"""A language that nobody speaks, in which what was left in English is seen at once."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from typing import Any

from playwright.sync_api import Page, Route

from ribstitch.charts.paper import LONGEST_LABEL, label
from tools.write_catalogue import catalogue

LANGUAGE = "el"
"""Greek, so that the browser writes dates without a plain letter; the words are made up."""
_PLAIN = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
_MARKED = "ÅƁČĎĒƑĠĤÍĴĶĹḾŃÖƤǪŔŠŤÚṼŴẊÝŽåƀčďēƒġĥíĵķĺḿńöƥǫŕšťúṽŵẋýž"
_TABLE = str.maketrans(_PLAIN, _MARKED)

LEFT = """(known) => {
  const spoken = ["aria-label", "placeholder", "title"];
  const shown = [...document.querySelectorAll("body *")].filter((node) =>
    !node.closest("script, style, noscript, [translate=no], .frame, #js-plotly-tester")
      && node.checkVisibility());
  const texts = new Set(shown.flatMap((node) => [
    ...[...node.childNodes].filter((one) => one.nodeType === Node.TEXT_NODE).map((one) => one.data),
    ...spoken.map((name) => node.getAttribute(name) ?? ""),
  ]));
  const without = (text) => known.reduce((rest, name) => rest.replaceAll(name, " "), text);
  const stretches = (text) => text.match(/[A-Za-z]+(?:[^A-Za-z\\p{L}]+[A-Za-z]+)*/gu) ?? [];
  const isPart = (stretch) => stretch.includes(" ") && known.some((name) => name.includes(stretch));
  const isLeft = (stretch) => /[A-Za-z]{2}/.test(stretch) && !isPart(stretch);
  const isEnglish = (text) => stretches(text).some(isLeft) && stretches(without(text)).some(isLeft);
  return [...texts].filter(isEnglish).map((text) => text.trim());
}"""
"""
Texts of a page that have plain letters left when the known names are taken out of them. Several
words of a name may be left over: phrases.js can take the others for words of its own.
"""


def made_up(text: str) -> str:
    """Return a text with a mark on each letter; its slots and the ends of its lines stay."""
    parts = re.split(r"(\{\w+\}|<br>)", text)
    return "".join(one if one[:1] in "{<" else one.translate(_TABLE) for one in parts)


def words(direction: str = "ltr") -> dict[str, Any]:
    """Return the file of the language."""
    texts: dict[str, Any] = {}
    for key in catalogue():
        one, bar, other = key.partition(" | ")
        texts[key] = {"one": made_up(one), "other": made_up(other)} if bar else made_up(key)
    return {"direction": direction, "texts": texts}


def speak(page: Page, direction: str = "ltr") -> None:
    """Let a page be read in the language."""
    file = json.dumps(words(direction))
    listed = f'export const LANGUAGES = ["{LANGUAGE}"];'

    def answer(content: str, media_type: str) -> Any:
        def fulfil(route: Route) -> None:
            route.fulfill(body=content, content_type=media_type)

        return fulfil

    page.add_init_script(
        f"Object.defineProperty(navigator, 'languages', {{ get: () => ['{LANGUAGE}'] }});"
    )
    page.route("**/js/languages.js", answer(listed, "text/javascript"))
    page.route(f"**/words/{LANGUAGE}.json", answer(file, "application/json"))


def english_left(page: Page, typed: Iterable[str]) -> list[str]:
    """Return what a page still says in English, but for what people typed."""
    names = sorted({one for one in typed if _is_name(one)}, key=len, reverse=True)
    found: list[str] = page.evaluate(LEFT, names)
    return found


def _is_name(text: str) -> bool:
    """Tell a name or a note from a code, such as "metal", which a page has to put in words."""
    return bool(re.search(r"[A-Z -]", text)) and len(text) > 1


def typed_in(plan: Any) -> Iterator[str]:
    """Return every text of a plan, and its people as sentences name them: "the metalworker"."""
    for one in plan["crew"]:
        kind = re.sub(r" \d+$", "", one["label"])
        yield from (kind, f" {kind[:1].lower()}{kind[1:]}")
    yield from _texts(plan)


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from _texts(one)
    elif isinstance(value, str):
        yield from (value, label(value)) if len(value) > LONGEST_LABEL else (value,)
