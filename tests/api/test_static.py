"""Pages, scripts, and the headers of every answer."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from ribstitch.api.packed_files import PackedFiles
from ribstitch.api.static import PAGES
from ribstitch.assets import web_folder
from tests.api.asking import Api, assert_problem

POLICY = (
    "default-src 'self'; style-src 'self'; img-src 'self' data:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


@pytest.mark.parametrize("page", PAGES)
def test_page_is_served_and_asked_for_again_after_an_upgrade(
    lone_client: TestClient, page: str
) -> None:
    answer = lone_client.get(f"/{page}")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["cache-control"] == "no-cache"
    assert answer.headers["etag"]


@pytest.mark.parametrize(
    ("role", "page"), [("lead", "/today"), ("owner", "/forecast"), ("planner", "/what-if")]
)
def test_front_door_leads_to_the_page_of_the_role(
    lone_client: TestClient, role: str, page: str
) -> None:
    lone_client.put("/api/v1/session", json={"role": role})
    answer = lone_client.get("/?project=2", follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{page}?project=2"


LIBRARY = next((web_folder() / "vendor").glob("plotly-basic-*.min.js"))


def test_chart_library_is_kept_for_good_under_the_name_of_its_version(
    lone_client: TestClient,
) -> None:
    """RFC 8246: what is immutable is not asked for again; another version has another name."""
    version = LIBRARY.name.removeprefix("plotly-basic-").removesuffix(".min.js")
    assert f"plotly.js (basic - minified) v{version}" in LIBRARY.read_text("utf-8")[:200]
    assert f"/assets/vendor/{LIBRARY.name}" in (web_folder() / "js/lib/chart.js").read_text("utf-8")
    packed = lone_client.get(f"/assets/vendor/{LIBRARY.name}", headers={"Accept-Encoding": "gzip"})
    assert packed.headers["cache-control"] == "public, max-age=31536000, immutable"
    assert int(packed.headers["content-length"]) < 400_000
    assert packed.content == LIBRARY.read_bytes()


@pytest.mark.parametrize("path", ["js/lib/sheet.js", "css/sheet.css", "img/mark.svg"])
def test_files_travel_compressed_and_are_not_sent_twice(lone_client: TestClient, path: str) -> None:
    plain = (web_folder() / path).read_bytes()
    packed = lone_client.get(f"/assets/{path}", headers={"Accept-Encoding": "gzip"})
    assert packed.headers["content-encoding"] == "gzip"
    assert packed.headers["cache-control"] == "no-cache"
    assert "Accept-Encoding" in packed.headers["vary"]
    assert packed.content == plain
    unpacked = lone_client.get(f"/assets/{path}", headers={"Accept-Encoding": "identity"})
    assert "content-encoding" not in unpacked.headers
    assert unpacked.content == plain
    again = lone_client.get(f"/assets/{path}", headers={"If-None-Match": packed.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_file_that_changed_is_sent_anew(tmp_path: Path) -> None:
    file = tmp_path / "one.js"
    file.write_text("let one = 1;")
    client = TestClient(PackedFiles(directory=tmp_path))
    first = client.get("/one.js")
    file.write_text("let one = 1, two = 2;")
    second = client.get("/one.js", headers={"If-None-Match": first.headers["etag"]})
    assert (first.text, second.text) == ("let one = 1;", "let one = 1, two = 2;")


def test_assets_stay_inside_their_folder(lone_client: TestClient) -> None:
    for path in ("/assets/../pyproject.toml", "/assets/%2e%2e/pyproject.toml", "/assets/"):
        assert_problem(lone_client.get(path), 404)


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/today"),
        ("GET", "/"),
        ("GET", "/assets/css/base.css"),
        ("GET", "/assets/css/tokens.css"),
        ("GET", "/api/v1/health"),
        ("GET", "/api/v1/projects/1/schedule"),
        ("GET", "/api/v1/projects/99"),
        ("GET", "/nowhere"),
        ("DELETE", "/api/v1/health"),
        ("PATCH", "/api/v1/projects/1"),
    ],
)
def test_strict_policy_is_on_every_answer(lone_api: Api, method: str, path: str) -> None:
    answer = lone_api.client.request(method, path, follow_redirects=False)
    assert answer.headers["content-security-policy"] == POLICY
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "same-origin"


def test_strict_policy_is_on_the_answer_to_a_mistake(
    lone_client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_: object) -> None:
        raise RuntimeError("planted")

    monkeypatch.setattr("ribstitch.api.deps.Service.needs", fail)
    answer = lone_client.get("/api/v1/ready")
    problem = assert_problem(answer, 500)
    assert "planted" not in str(problem)
    assert answer.headers["content-security-policy"] == POLICY


def test_long_answers_travel_compressed(lone_api: Api) -> None:
    answer = lone_api.get("/schedule", headers={"Accept-Encoding": "gzip"})
    assert answer.headers["content-encoding"] == "gzip"
    assert gzip.compress(b"") != answer.content
    assert answer.json()["finish"]


@pytest.mark.parametrize("path", ["/today", "/assets/css/base.css", "/api/v1/health"])
def test_head_is_answered_like_get_without_the_body(lone_client: TestClient, path: str) -> None:
    """A monitor that asks with HEAD is told what GET would say (RFC 9110, section 9.3.2)."""
    got, asked = lone_client.get(path), lone_client.head(path)
    assert (asked.status_code, asked.content) == (200, b"")
    for name in ("content-type", "etag", "content-security-policy"):
        assert asked.headers.get(name) == got.headers.get(name)
    assert lone_client.head("/nowhere").status_code == 404


BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"
"""What a browser accepts when somebody follows a link."""


def test_a_person_at_an_unknown_page_is_led_to_the_sheets(lone_client: TestClient) -> None:
    answer = lone_client.get("/nowhere", headers={"Accept": BROWSER})
    assert answer.status_code == 404
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["cache-control"] == "no-store"
    assert "Accept" in answer.headers["vary"].split(", ")
    assert "There is no such sheet" in answer.text
    for page in PAGES:
        assert f'href="/{page}"' in answer.text
    head = lone_client.head("/nowhere", headers={"Accept": BROWSER})
    assert (head.status_code, head.content) == (404, b"")


@pytest.mark.parametrize(
    ("path", "accept"),
    [
        ("/nowhere", "*/*"),
        ("/nowhere", "application/json"),
        ("/nowhere", "text/html;q=0, application/json"),
        ("/api/v1/nowhere", BROWSER),
        ("/api/v1/projects/99", BROWSER),
        ("/assets/nowhere.js", BROWSER),
    ],
)
def test_a_program_and_the_api_keep_to_problem_details(
    lone_client: TestClient, path: str, accept: str
) -> None:
    answer = lone_client.get(path, headers={"Accept": accept})
    assert_problem(answer, 404)
    assert answer.headers["content-security-policy"] == POLICY


def test_a_form_sent_to_an_unknown_page_is_refused_with_problem_details(
    lone_client: TestClient,
) -> None:
    assert_problem(lone_client.post("/nowhere", headers={"Accept": BROWSER}), 404)
