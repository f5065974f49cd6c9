"""A language that nobody speaks, in which what was left in English is seen at once."""

from __future__ import annotations

import json
import re
from functools import cache
from typing import Any

from playwright.sync_api import Page, Route

from tools.write_catalogue import catalogue

LANGUAGE = "eo"
"""Of a real language, so that the browser takes it; its words are made up."""
_PLAIN = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
_MARKED = "ÅƁČĎĒƑĠĤÍĴĶĹḾŃÖƤǪŔŠŤÚṼŴẊÝŽåƀčďēƒġĥíĵķĺḿńöƥǫŕšťúṽŵẋýž"
_TABLE = str.maketrans(_PLAIN, _MARKED)

LEFT = """(known) => {
  const spoken = ["aria-label", "placeholder", "title"];
  const inner = [...document.querySelectorAll("body *")].filter((node) =>
    !node.closest("script, style, noscript, time, [translate=no], .frame, #js-plotly-tester")
      && node.checkVisibility());
  const texts = inner.flatMap((node) => [
    ...[...node.childNodes].filter((one) => one.nodeType === Node.TEXT_NODE).map((one) => one.data),
    ...spoken.map((name) => node.getAttribute(name) ?? ""),
  ]);
  const plain = /[A-Za-z]+(?:[^A-Za-z\\p{L}]+[A-Za-z]+)*/gu;
  const english = texts.flatMap((text) => text.match(plain) ?? []);
  return [...new Set(english)].filter((text) => /[A-Za-z]{2}/.test(text) && !known.includes(text));
}"""
"""What stands on a page in plain letters, and is in none of the known texts."""


def made_up(text: str) -> str:
    """Return a text with a mark on each letter; its slots and the ends of its lines stay."""
    parts = re.split(r"(\{\w+\}|<br>)", text)
    return "".join(one if one[:1] in "{<" else one.translate(_TABLE) for one in parts)


def words(direction: str = "ltr") -> dict[str, Any]:
    """Return the file of the language."""
    texts: dict[str, Any] = {}
    for key in _keys():
        one, bar, other = key.partition(" | ")
        texts[key] = {"one": made_up(one), "other": made_up(other)} if bar else made_up(key)
    return {"direction": direction, "texts": texts}


@cache
def _keys() -> tuple[str, ...]:
    """Read the code once for all tests."""
    return tuple(catalogue())


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


def english_left(page: Page, known: list[str]) -> list[str]:
    """Return what a page still says in English, but for what people typed."""
    texts = "\n".join(known)
    found: list[str] = page.evaluate(LEFT, texts)
    return found
