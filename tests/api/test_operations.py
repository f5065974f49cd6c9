"""What whoever keeps the service running sees: readiness, the log, metrics, backups by night."""

from __future__ import annotations

import asyncio
import json
import logging
import shutil
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, cast

import pytest
from prometheus_client.parser import text_string_to_metric_families
from starlette.testclient import TestClient

from ribstitch.api import create_app
from ribstitch.api.deps import Service
from ribstitch.api.live import Live
from ribstitch.api.logs import JsonLines, PlainLines
from ribstitch.clock import StoppedClock
from ribstitch.services.readiness import LEAST_FREE_BYTES
from ribstitch.settings import Settings
from tests.api.asking import assert_problem
from tests.support.loops import awaited
from tests.support.signed_in import PROJECT, running_house

ADDRESS = "http://127.0.0.1:8765"
NOW = datetime(2026, 2, 2, 9, 30, tzinfo=UTC)
Serve = Callable[..., AbstractContextManager[TestClient]]


@pytest.fixture
def serve(migrated_sqlite_url: str, tmp_path: Path) -> Serve:
    """Return a function that serves an empty database with settings, asked from this machine."""

    @contextmanager
    def started(**given: Any) -> Iterator[TestClient]:
        settings = Settings(
            database_url=migrated_sqlite_url, files=tmp_path / "files", runs=500, **given
        )
        app = create_app(settings, StoppedClock(NOW))
        here = ("127.0.0.1", 50_000)
        with TestClient(app, ADDRESS, raise_server_exceptions=False, client=here) as client:
            yield client

    return started


def service_of(client: TestClient) -> Service:
    return cast("Service", client.app.state.service)  # type: ignore[attr-defined]


def drop_tables(client: TestClient) -> None:
    """Take the database away under a running service."""
    with service_of(client).store.begin(None, None) as work:  # type: ignore[arg-type]
        work._connection.exec_driver_sql("DROP TABLE alembic_version")
        work._connection.exec_driver_sql("DROP TABLE project")


def needs(client: TestClient, status: int = 200) -> dict[str, Any]:
    """Return what readiness says, by name of the need."""
    answer = client.get("/api/v1/ready")
    assert answer.status_code == status
    assert answer.json()["status"] == ("ready" if status == 200 else "not-ready")
    return {one["name"]: one for one in answer.json()["needs"]}


def test_a_service_with_everything_is_ready(client: TestClient) -> None:
    """On both databases."""
    found = needs(client)
    assert set(found) == {"database", "tables", "disk"}
    assert all(one["met"] and one["vital"] for one in found.values())


def test_without_its_database_the_process_lives_and_is_not_ready(
    serve: Serve, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    with serve() as client:
        store = service_of(client).store
        monkeypatch.setattr("ribstitch.store.engine._BUSY_MS", 50)
        store.close()
        (tmp_path / "ribstitch.db").unlink()
        (tmp_path / "ribstitch.db").mkdir()
        assert client.get("/api/v1/health").json()["status"] == "ok"
        database = needs(client, 503)["database"]
        assert database["detail"] == "The database does not answer."


def test_tables_of_another_release_are_no_ready_service(serve: Serve) -> None:
    with serve() as client:
        drop_tables(client)
        found = needs(client, 503)
        assert found["database"]["met"]
        assert not found["tables"]["met"]


def test_a_full_disk_is_no_ready_service(serve: Serve, monkeypatch: pytest.MonkeyPatch) -> None:
    with serve() as client:
        usage = shutil.disk_usage("/")._replace(free=LEAST_FREE_BYTES - 1)
        monkeypatch.setattr("shutil.disk_usage", lambda _: usage)
        disk = needs(client, 503)["disk"]
        assert not disk["met"]
        assert "/" not in disk["detail"]


def test_a_backup_is_made_at_the_start_and_on_the_next_day(serve: Serve, tmp_path: Path) -> None:
    kept = tmp_path / "kept"
    kept.mkdir()
    with serve(backup_folder=kept) as client:
        service = service_of(client)
        service.make_backup()
        clock = cast("StoppedClock", service.clock)
        clock.move(timedelta(days=1))
        service.make_backup()
        assert needs(client)["backup"]["detail"] == "The last backup is of 2026-02-03."
        clock.move(timedelta(days=2))
        late = needs(client)["backup"]
        assert (late["met"], late["vital"]) == (False, False)
    names = {one.name for one in kept.iterdir()}
    assert names == {"ribstitch-nightly-2026-02-02.zip", "ribstitch-nightly-2026-02-03.zip"}


def test_a_backup_that_fails_is_told_and_tried_again(
    serve: Serve, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    kept = tmp_path / "kept"
    kept.mkdir()
    with serve(backup_folder=kept) as client:
        service = service_of(client)
        service.make_backup()
        cast("StoppedClock", service.clock).move(timedelta(days=1))
        shutil.rmtree(kept)
        with pytest.raises(OSError, match="kept"):
            service.make_backup()
        assert needs(client)["backup"]["detail"] == "The folder of backups cannot be read."
        assert samples(client)["ribstitch_backup_failed"] == 1
        kept.mkdir()
        service.make_backup()
        assert needs(client)["backup"]["met"]
        assert samples(client)["ribstitch_backup_failed"] == 0
        assert samples(client)["ribstitch_backup_age_seconds"] == 9.5 * 3600


def test_an_id_is_given_to_each_request_and_a_plain_one_is_taken_over(serve: Serve) -> None:
    with serve() as client:
        one, other = (client.get("/api/v1/health").headers["x-request-id"] for _ in range(2))
        assert one != other
        assert _asked_as(client, "proxy-7_a") == "proxy-7_a"
        for odd in ("", "a b", "x" * 65, "ä", 'a"b', "../x"):
            assert _asked_as(client, odd) != odd


def _asked_as(client: TestClient, given: str) -> str:
    sent = {"X-Request-Id": given.encode("latin-1")}
    return client.get("/api/v1/health", headers=sent).headers["x-request-id"]  # type: ignore[arg-type]


def test_a_request_is_one_line_that_tells_nothing_of_what_was_entered(
    serve: Serve, caplog: pytest.LogCaptureFixture
) -> None:
    with serve() as client, caplog.at_level(logging.INFO, "ribstitch.requests"):
        caplog.clear()
        client.cookies.set("ribstitch_role", "planner")
        secret = {"Authorization": "Bearer hush-hush"}
        client.get("/api/v1/projects/4711/tasks/T99?reason=hush", headers=secret)
        client.head("/today")
        client.get("/nowhere/hush")
        client.request("HUSH", "/assets/css/base.css")
    records = [one for one in caplog.records if one.name == "ribstitch.requests"]
    found = [cast("Any", one).fields for one in records]
    assert [(one["method"], one["route"], one["status"]) for one in found] == [
        ("GET", "/api/v1/projects/{project_id}/tasks/{task_id:path}", 404),
        ("HEAD", "/today", 200),
        ("GET", "none", 404),
        ("OTHER", "/assets", 405),
    ]
    for record in records:
        line = JsonLines().format(record)
        document = json.loads(line)
        assert document["ms"] >= 0
        assert datetime.fromisoformat(document["at"]).utcoffset() == timedelta(0)
        assert set(document) == {"at", "level", "logger", "process", "message", "method", "route",
                                 "status", "ms"}  # fmt: skip
        for text in (line, PlainLines().format(record)):
            assert "hush" not in text.lower()
            assert "4711" not in text
            assert "planner" not in text


def test_a_request_is_logged_with_the_number_of_the_account_and_no_name(
    migrated_sqlite_url: str, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    with running_house(migrated_sqlite_url, tmp_path) as house:
        house.move_in()
        with caplog.at_level(logging.INFO, "ribstitch.requests"):
            house.come_as("lead").get(f"/api/v1/projects/{PROJECT}")
            house.come_as("nobody").get(f"/api/v1/projects/{PROJECT}")
        account = house.known["lead"].account_id
    with_account, without = (one for one in caplog.records if one.name == "ribstitch.requests")
    assert cast("Any", with_account).fields["account"] == account
    assert "lead@" not in JsonLines().format(with_account)
    assert "account" not in cast("Any", without).fields


def test_a_mistake_is_logged_once_under_the_id_that_the_answer_names(
    serve: Serve, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    lines: list[dict[str, Any]] = []

    class Kept(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            lines.append(json.loads(JsonLines().format(record)))

    with serve() as client:
        monkeypatch.setattr(service_of(client), "needs", lambda: 1 / 0)
        handler = Kept(logging.ERROR)
        logging.getLogger().addHandler(handler)
        answer = client.get("/api/v1/ready", headers={"X-Request-Id": "abc"})
        logging.getLogger().removeHandler(handler)
        assert_problem(answer, 500, "inside Ribstitch", "request abc")
        assert answer.json()["request_id"] == "abc"
        assert answer.headers["x-request-id"] == "abc"
        assert "content-security-policy" in answer.headers
    (line,) = lines
    assert line["request_id"] == "abc"
    assert "ZeroDivisionError" in line["exception"]


def test_what_was_entered_is_in_no_error_of_the_database(serve: Serve) -> None:
    with (
        serve() as client,
        pytest.raises(Exception, match="hidden due to hide_parameters") as failed,
        service_of(client).store.begin(None, None) as work,  # type: ignore[arg-type]
    ):
        work._connection.exec_driver_sql("INSERT INTO place (key) VALUES (?)", ("hush",))
    assert "hush" not in str(failed.value)


def samples(client: TestClient) -> dict[str, float]:
    """Return the metrics, read by the reader that comes with the library."""
    answer = client.get("/api/v1/metrics")
    assert answer.headers["content-type"].startswith("text/plain; version=0.0.4")
    return {
        "|".join([one.name, *one.labels.values()]): one.value
        for family in text_string_to_metric_families(answer.text)
        for one in family.samples
    }


def test_metrics_count_requests_by_route_and_show_the_moment(serve: Serve) -> None:
    with serve() as client:
        before = samples(client)
        for number in (1, 2):
            client.get(f"/api/v1/projects/{number}/today")
        after = samples(client)
        route = "/api/v1/projects/{project_id}/today"
        assert after[f"ribstitch_requests_total|GET|{route}|404"] == 2
        assert after[f"ribstitch_request_seconds_count|{route}"] == 2
        assert before["ribstitch_projects"] == 0
        assert after["ribstitch_database_up"] == 1
        assert after["ribstitch_simulations_at_work"] == 0
        assert "ribstitch_backup_failed" not in after


def test_metrics_count_the_pages_that_follow(serve: Serve) -> None:
    async def follow(live: Live) -> tuple[int, int]:
        changes = live.follow(1, 0)
        waiting = asyncio.ensure_future(anext(changes))
        await asyncio.sleep(0)
        during = live.pages
        waiting.cancel()
        await asyncio.wait([waiting])
        return during, live.pages

    with serve() as client:
        assert samples(client)["ribstitch_live_pages"] == 0
        assert awaited(follow(Live(service_of(client).store))) == (1, 0)


def test_metrics_time_simulations(lone_api: Any) -> None:
    lone_api.settle()
    text = service_of(lone_api.client).metrics.text().decode()
    counted = dict(line.split() for line in text.splitlines() if line.startswith("ribstitch_simul"))
    assert float(counted["ribstitch_simulation_seconds_count"]) >= 1


def test_metrics_are_for_this_machine_unless_they_are_opened(serve: Serve) -> None:
    proxied = {"X-Forwarded-For": "203.0.113.9"}
    with serve() as client:
        assert client.get("/api/v1/metrics").status_code == 200
        assert_problem(client.get("/api/v1/metrics", headers=proxied), 404, "for you")
        far = TestClient(client.app, ADDRESS, client=("203.0.113.9", 1))
        assert far.get("/api/v1/metrics").status_code == 404
    with serve(metrics="open") as client:
        assert client.get("/api/v1/metrics", headers=proxied).status_code == 200
    with serve(metrics="off") as client:
        assert client.get("/api/v1/metrics").status_code == 404
