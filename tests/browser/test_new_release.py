"""A new release reaches a tablet that keeps Today, whole or not at all."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Thread
from time import sleep

import pytest
import uvicorn
from fastapi import APIRouter, FastAPI
from playwright.sync_api import Browser, BrowserContext, Page, expect
from starlette.responses import Response

from ribstitch.api import static
from ribstitch.assets import web_folder
from tests.support.postgres import free_port

_SHEET = """<!doctype html><html lang="en"><title>Today</title>
<p id="sheet">{release}</p><p id="script"></p><script src="/assets/kept.js"></script></html>"""
_SCRIPT = """document.getElementById("script").textContent = "{release}";
(async () => {{
  await navigator.serviceWorker.register("/service-worker.js");
  const {{ active }} = await navigator.serviceWorker.ready;
  active.postMessage({{ keep: ["/assets/kept.js"], answers: [] }});
}})();"""

Place = tuple[int, str]


@pytest.fixture
def web(tmp_path: Path) -> Path:
    """The product's own keeper of the sheet, with a sheet of two files."""
    (tmp_path / "words").mkdir()
    for name in ("service-worker.js", "no-network.html", "words/glossary.json"):
        shutil.copy(web_folder() / name, tmp_path / name)
    return tmp_path


def write(web: Path, release: str) -> None:
    """Put the files of a release in place of those that are there."""
    (web / "today.html").write_text(_SHEET.format(release=release))
    (web / "kept.js").write_text(_SCRIPT.format(release=release))


@contextmanager
def serving(web: Path, port: int, *, breaks: str = "") -> Iterator[None]:
    """Serve the files as the service does, all but one that it fails to."""
    app, router = FastAPI(), APIRouter()
    if breaks:
        app.add_api_route(breaks, lambda: Response("", 500))
    static.install(router, web)
    app.include_router(router)
    server = uvicorn.Server(uvicorn.Config(app, port=port, log_level="error", ws="none"))
    thread = Thread(target=server.run)
    thread.start()
    while not server.started:
        sleep(0.02)
    try:
        yield
    finally:
        server.should_exit = True
        server.force_exit = True
        thread.join()


@pytest.fixture
def at() -> Place:
    """A port for every release, and the address of the sheet."""
    port = free_port()
    return port, f"http://127.0.0.1:{port}/today"


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context()
    made.set_default_timeout(10_000)
    yield made
    made.close()


def kept(page: Page) -> dict[str, list[str]]:
    """Return which files are kept, by release."""
    found: dict[str, list[str]] = page.evaluate("""async () => {
      const found = {};
      for (const name of await caches.keys()) {
        const all = await (await caches.open(name)).keys();
        found[name] = all.map(({ url }) => new URL(url).pathname);
      }
      return found;
    }""")
    return {name: files for name, files in found.items() if "files" in name}


def open_sheet(context: BrowserContext, address: str, release: str) -> Page:
    page = context.new_page()
    page.goto(address)
    expect(page.locator("#sheet")).to_have_text(release)
    expect(page.locator("#script")).to_have_text(release)
    return page


def is_kept(page: Page, releases: int) -> bool:
    """Whether so many releases are kept, each with all its files."""
    files = kept(page)
    return len(files) == releases and all("/assets/kept.js" in one for one in files.values())


def wait_until_kept(page: Page, releases: int) -> None:
    for _ in range(200):
        if is_kept(page, releases):
            return
        page.wait_for_timeout(50)
    raise AssertionError(kept(page))


def keep_first_release(web: Path, context: BrowserContext, at: Place) -> str:
    """Let the browser keep the first release; return what that is called there."""
    port, address = at
    write(web, "first")
    with serving(web, port):
        page = open_sheet(context, address, "first")
        wait_until_kept(page, 1)
        (first,) = kept(page)
        page.close()
    return first


def test_a_new_release_is_kept_whole_and_takes_over_when_no_page_of_the_old_one_is_open(
    web: Path, context: BrowserContext, at: Place
) -> None:
    port, address = at
    first = keep_first_release(web, context, at)
    page = open_sheet(context, address, "first")
    write(web, "second")
    with serving(web, port):
        page.reload()
        wait_until_kept(page, 2)
        assert first in kept(page), "the old release stays while a page of it is open"
        page.close()
        page = open_sheet(context, address, "second")
        wait_until_kept(page, 1)
        assert first not in kept(page)
        page.close()
    open_sheet(context, address, "second").close()


def test_where_a_file_of_the_new_release_cannot_be_had_the_old_one_stays_whole(
    web: Path, context: BrowserContext, at: Place
) -> None:
    port, address = at
    first = keep_first_release(web, context, at)
    write(web, "second")
    with serving(web, port, breaks="/assets/kept.js"):
        page = context.new_page()
        page.goto(address)
        state = page.evaluate("""async () => {
          const keeper = await navigator.serviceWorker.getRegistration();
          await keeper.update().catch(() => {});
          while (keeper.installing) await new Promise((done) => setTimeout(done, 20));
          return [keeper.waiting === null, keeper.active !== null];
        }""")
        assert state == [True, True]
        page.close()
    page = open_sheet(context, address, "first")
    assert first in kept(page)
