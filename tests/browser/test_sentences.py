"""What the service says is in the catalogue: in a made-up language no English is left."""

from __future__ import annotations

import json
import re
from calendar import month_name
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from playwright.sync_api import Browser

from ribstitch.assets import seed_folder
from ribstitch.services.load_demo import DEMO
from tests.browser.journeys import found
from tests.support.made_up import words
from tests.support.phrases import reader_in

READ = [
    "/title-block", "/today", "/schedule", "/away", "/airframe", "/causes", "/crew-load",
    "/crew-week", "/crew-links", "/one-more", "/forecast", "/swings", "/health", "/records",
    "/evaluation", "/originality", "/money", "/statement", "/sign-offs", "/draft", "/baselines",
    "/late-curve?send_out=S01", "/moved?since=2026-09-01", "/charts/crew-load", "/charts/away",
]  # fmt: skip
"""What the sheets ask for; below, each task and each item as well."""
TELLING = {"sentence", "why", "explanation", "held_back_by", "counts", "advice", "caution"}
"""Keys under which a text is one for people, whatever it ends with."""
TYPED_AT = {"note", "notes", "text", "reason", "held_reason", "source", "basis"}
"""Keys under which stands what somebody typed, or where a rule is published."""
REFUSED: list[tuple[str, str, Any]] = [
    ("GET", "/late-curve?send_out=S99", None),
    ("GET", "/tasks/none", None),
    ("GET", "/moved?since=never", None),
    ("PATCH", "/tasks/F07.1", {"days": -1}),
    ("PATCH", "/tasks/F07.1", {"zone": "nowhere"}),
    ("PATCH", "/tasks/F07.1", {"deadline": "soon"}),
    ("POST", "/links", {"before": "F07.1", "after": "F07.1", "relation": "FS"}),
    ("POST", "/costs", {"id": "C1", "amount": "a lot", "currency": "XXX"}),
    ("POST", "/calendars", {"id": "shop"}),
    ("DELETE", "/zones/tail", None),
]
"""Refusals, of which nothing is stored; each says what is wrong in a sentence."""


def texts(value: Any, key: str = "") -> Iterator[tuple[str, str]]:
    """Return the texts of an answer, each with the key where it stands."""
    if isinstance(value, dict):
        for name, one in value.items():
            yield from texts(one, name)
    elif isinstance(value, list):
        for one in value:
            yield from texts(one, key)
    elif isinstance(value, str):
        yield key, value


def is_sentence(key: str, text: str) -> bool:
    """Tell what is said from names, codes and what was typed."""
    is_said = key in TELLING or re.search(r"[.!?]$", text) is not None
    return is_said and key not in TYPED_AT and " " in text


class Demo:
    """The demo project, asked as the sheets ask."""

    def __init__(self, client: httpx.Client) -> None:
        self.client = client

    def read(self, path: str) -> Any:
        """Return an answer."""
        answer = self.client.get(path)
        assert answer.status_code == 200, path
        return answer.json()


@pytest.fixture(scope="module")
def demo(live_server: str) -> Iterator[Demo]:
    """The demo of this module, simulated."""
    root = f"{live_server}/api/v1/projects"
    number = httpx.get(root).json()["projects"][0]["id"]
    with httpx.Client(base_url=f"{root}/{number}", timeout=60) as client:
        found(live_server, "/simulation")
        yield Demo(client)


def said(demo: Demo) -> list[str]:
    """Return every sentence that the demo answers with, once."""
    tasks = [one["id"] for one in demo.read("/tasks?limit=200")["tasks"]]
    items = [one["id"] for one in demo.read("/away")["send_outs"]]
    paths = [*READ, *(f"/tasks/{one}" for one in tasks), *(f"/send-outs/{one}" for one in items)]
    found = {
        text: None
        for path in paths
        for key, text in texts(demo.read(path))
        if is_sentence(key, text)
    }
    return list(found)


def refused(demo: Demo) -> list[str]:
    """Return what is said where something cannot be done, without field and what was sent."""
    answers = [
        demo.client.request(method, path, json=body, headers={"If-Match": '"1"'})
        for method, path, body in REFUSED
    ]
    assert all(400 <= one.status_code < 500 for one in answers)
    told = (re.sub(r"^[\w\[\].]+: ", "", one.json()["detail"]) for one in answers)
    return [re.sub(r'"[^"]+"', '"Ñ"', one) for one in told]


def names() -> re.Pattern[str]:
    """Return what people typed into the demo, the longest first: slots of the sentences."""
    plan = json.loads((seed_folder() / DEMO).read_text(encoding="utf-8"))
    crew = {re.sub(r" \d+$", "", one["label"]) for one in plan["crew"]}
    zones = {one["name"] for one in plan["zones"]}
    found = {text for _, text in texts(plan) if " " in text}
    called = sorted({*found, *zones, *crew, *map(str.lower, crew)}, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, called))})(?!\w)")


def english_in(told: str) -> list[str]:
    """Return what is left in plain letters, but for ids, currencies and months (lib/dom.js)."""
    left = re.sub(
        rf"\b[A-Z]{{2,3}}\b|\b[A-Z]\d+(\.\w+)*|\b({'|'.join(month_name[1:])})\b", " ", told
    )
    return re.findall(r"[^\W\d_]*[a-z]{2,}[^\W\d_]*", left)


def test_what_the_demo_says_is_in_the_catalogue(browser: Browser, demo: Demo) -> None:
    """Each with its names and what was sent as slots."""
    typed = names()
    sentences = list({typed.sub("Ñ", one): None for one in [*said(demo), *refused(demo)]})
    with reader_in(browser) as reader:
        told = reader.read(words()["texts"], sentences)
    pairs = zip(sentences, map(english_in, told), strict=True)
    left = {sentence: english for sentence, english in pairs if english}
    assert len(sentences) > 200
    assert left == {}
