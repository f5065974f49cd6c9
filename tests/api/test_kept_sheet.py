"""The script that keeps Today for times without a network belongs to one release of the pages."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from fastapi import FastAPI
from starlette.testclient import TestClient

from ribstitch.api import kept_sheet
from ribstitch.assets import web_folder

_RELEASE = re.compile(r'const RELEASE = "([0-9a-f]{16})";')


def test_script_is_asked_for_again_and_may_look_after_the_whole_site(
    lone_client: TestClient,
) -> None:
    """From the root, so that its scope is all below it (Service Workers, section 4.1)."""
    answer = lone_client.get("/service-worker.js")
    assert answer.headers["content-type"].startswith("text/javascript")
    assert answer.headers["cache-control"] == "no-cache"
    assert "default-src 'self'" in answer.headers["content-security-policy"]
    assert _RELEASE.search(answer.text)


def test_another_page_is_another_release(tmp_path: Path) -> None:
    web = tmp_path / "web"
    shutil.copytree(web_folder(), web)
    before = release_of(web)
    assert release_of(web) == before
    with (web / "today.html").open("a") as page:
        page.write("<!-- newer -->")
    assert release_of(web) != before


def test_manifest_leads_to_today_and_names_icons_that_are_there(lone_client: TestClient) -> None:
    answer = lone_client.get("/manifest.webmanifest")
    assert answer.headers["content-type"] == "application/manifest+json"
    manifest = answer.json()
    assert manifest["start_url"] == "/today"
    for icon in manifest["icons"]:
        shown = lone_client.get(icon["src"])
        assert shown.headers["content-type"] == icon["type"]


def release_of(web: Path) -> str:
    """Return the release that the script of some pages names."""
    app = FastAPI()
    kept_sheet.install(app.router, web)
    with TestClient(app) as client:
        found = _RELEASE.search(client.get("/service-worker.js").text)
    assert found is not None
    return found[1]
