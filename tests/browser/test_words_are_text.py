"""Whatever people write is shown as the letters that it is, and asked for as a value."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, get_args

import httpx
from playwright.sync_api import expect
from pydantic import BaseModel

from ribstitch.assets import seed_folder
from ribstitch.planfile.document import NO_NUL, PlanDocument
from ribstitch.services.load_demo import DEMO
from tests.browser.conftest import OpenPage
from tests.browser.journeys import SHEETS, SIZES, wait_until_drawn

MARKUP = '"><i data-injected>x</i><script>document.title = "injected"</script>'
OTHER_PAGES = ("evaluation-report", "method-cards", "statement", "packing-list?send_out=S04")


def free_text(kind: type[BaseModel]) -> Iterator[str]:
    """Give the keys of a part of a plan file that take any words."""
    for name, field in kind.model_fields.items():
        if any(getattr(one, "pattern", None) == NO_NUL for one in field.metadata):
            yield field.alias or name


def with_markup(kind: type[BaseModel], part: dict[str, Any]) -> dict[str, Any]:
    """Return a part of a plan file with markup in all free text that it has."""
    told = set(free_text(kind))
    inner = {field.alias or name: _inner(field.annotation) for name, field in
             kind.model_fields.items()}  # fmt: skip
    return {key: _marked(value, key in told, inner.get(key)) for key, value in part.items()}


def _marked(value: Any, told: bool, kind: type[BaseModel] | None) -> Any:
    if told and isinstance(value, str):
        return f"{value[:300]} {MARKUP}"
    if kind and isinstance(value, dict):
        return with_markup(kind, value)
    if kind and isinstance(value, list):
        return [with_markup(kind, one) if isinstance(one, dict) else one for one in value]
    return value


def _inner(annotation: Any) -> type[BaseModel] | None:
    """Return the kind of part that a key holds, alone or in a list."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for one in get_args(annotation) if (found := _inner(one))), None)


def test_markup_in_all_that_people_write_is_text_on_every_page(
    open_page: OpenPage, live_server: str
) -> None:
    demo = json.loads((seed_folder() / DEMO).read_text(encoding="utf-8"))
    plan = with_markup(PlanDocument, demo)
    assert json.dumps(plan).count("data-injected") > 1_000
    made = httpx.post(f"{live_server}/api/v1/projects", json=plan, timeout=60)
    assert made.status_code == 201, made.text
    page = open_page(size=SIZES[0])
    for sheet in (*SHEETS, *OTHER_PAGES):
        joined = "&" if "?" in sheet else "?"
        page.goto(f"/{sheet}{joined}project={made.json()['id']}")
        wait_until_drawn(page)
        page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
        assert page.locator("[data-injected]").count() == 0, sheet
        assert page.title() != "injected", sheet
        expect(page.locator("body"), sheet).to_contain_text("<i data-injected>x</i>")
