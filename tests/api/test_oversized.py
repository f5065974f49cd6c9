"""What is too long, too deep, too slow or no HTTP: refused in one sentence, and nothing else."""

from __future__ import annotations

import asyncio
import re
import socket
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import httpx2
import pytest
from starlette.requests import Request
from starlette.testclient import TestClient

from ribstitch.api import bodies
from ribstitch.api.problems import ProblemError
from ribstitch.store import Store, UnavailableError
from tests.api.asking import Api, assert_problem, small_plan
from tests.faults.served import Served
from tests.support.loops import awaited

PLANS, TASK = "/api/v1/projects", "/tasks/T2"
JSON = "application/json"

# --- What the transport brings -----------------------------------------------------------

MB = 1_000_000
_PIECE = b"%x\r\n" % MB + b" " * MB + b"\r\n"
_LONG = b"x" * 70_000


def _head(line: bytes, *headers: bytes) -> bytes:
    """Return the beginning of a request; `HOST` stands for the service's own name."""
    return b"\r\n".join((line, b"Host: HOST", *headers, b"", b""))


def _sent(path: bytes, *headers: bytes, media_type: bytes = b"application/json") -> bytes:
    return _head(b"POST " + path + b" HTTP/1.1", b"Content-Type: " + media_type, *headers)


def _in_pieces(path: bytes, millions: int, media_type: bytes = b"application/json") -> list[bytes]:
    """Return a body of so many million bytes whose length is told nowhere."""
    head = _sent(path, b"Transfer-Encoding: chunked", media_type=media_type)
    return [head, *[_PIECE] * millions, b"0\r\n\r\n"]


_P = b"/api/v1/projects"
_HEALTH = b"GET /api/v1/health HTTP/1.1"
RAW: dict[str, tuple[bytes | list[bytes], int]] = {
    "a header of 70 KB": (_head(_HEALTH, b"X: " + _LONG), 431),
    "101 headers": (_head(_HEALTH, *[b"X: y"] * 100), 431),
    "20,000 headers": (_head(_HEALTH, *[b"X: " + b"y" * 50] * 20_000), 400),
    "an address of 70 KB": (_head(b"GET /" + _LONG + b" HTTP/1.1"), 431),
    "a question of 70 KB": (_head(b"GET /api/v1/health?" + _LONG + b" HTTP/1.1"), 431),
    "a plan of 21 MB": (_in_pieces(_P, 21), 413),
    "a plan said to have 21 MB": (_sent(_P, b"Content-Length: 21000000"), 413),
    "a photo of 26 MB": (_in_pieces(_P + b"/1/evidence", 26, b"image/jpeg"), 413),
    "a table of 21 MB": (_in_pieces(_P + b"/1/imports/tasks/look", 21, b"text/csv"), 413),
    "an ordinary body of 1 MB": (_in_pieces(_P + b"/1/undo", 1), 413),
    "a length of 20 digits": (_sent(_P, b"Content-Length: " + b"9" * 20), 413),
    "a length of 5,000 digits": (_sent(_P, b"Content-Length: " + b"9" * 5_000), 400),
    "a length below none": (_sent(_P, b"Content-Length: -1"), 400),
    "two lengths": (_sent(_P, b"Content-Length: 2", b"Content-Length: 3") + b"{}", 400),
    "a piece without a length": (_sent(_P, b"Transfer-Encoding: chunked") + b"zz\r\n", 400),
    "a body packed twice": (_sent(_P, b"Transfer-Encoding: gzip, chunked"), 400),
    "no host": (b"GET / HTTP/1.1\r\n\r\n", 400),
    "no host, of old": (b"GET /api/v1/session HTTP/1.0\r\n\r\n", 421),
    "two hosts": (_head(_HEALTH, b"Host: other.example"), 400),
    "half a host": (b"GET / HTTP/1.1\r\nHost: [::1\r\n\r\n", 421),
    "a question to a proxy": (_head(b"GET http://other.example/ HTTP/1.1"), 404),
    "a way through": (_head(b"CONNECT other.example:443 HTTP/1.1"), 404),
    "an echo": (_head(b"TRACE / HTTP/1.1"), 405),
    "an unknown method": (_head(b"BREW /api/v1/health HTTP/1.1"), 405),
    "letters that no address has": (_head(b"GET /\xff\xfe HTTP/1.1"), 400),
    "a header without a name": (b"GET / HTTP/1.1\r\nno colon\r\n\r\n", 400),
    "another protocol": (b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", 421),
    "encrypted": (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + bytes(90) + b"\r\n\r\n", 400),
    "a way up": (_head(b"GET /assets/../../pyproject.toml HTTP/1.1"), 404),
    "a way up in disguise": (_head(b"GET /assets/%2e%2e%2fpyproject.toml HTTP/1.1"), 404),
    "a way up on another system": (_head(rb"GET /assets/..\..\pyproject.toml HTTP/1.1"), 404),
    "another method in a header": (
        _sent(_P + b"/1/tasks/T2", b"X-HTTP-Method-Override: DELETE", b"Content-Length: 0"), 405
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def service(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A running service with one small project."""
    folder = tmp_path_factory.mktemp("oversized")
    (folder / "x.db").write_bytes(migrated_file.read_bytes())
    served = Served(f"sqlite:///{folder / 'x.db'}", folder)
    served.start()
    try:
        httpx2.post(f"{served.address}{PLANS}", json=small_plan()).raise_for_status()
        yield served
    finally:
        served.kill()


def _spoken(service: Served, parts: Iterable[bytes]) -> bytes:
    """Send bytes as they are; return what is answered until the service closes or is done."""
    host = service.address.removeprefix("http://")
    name, _, port = host.partition(":")
    answer = b""
    with socket.create_connection((name, int(port)), timeout=30) as line:
        with suppress(ConnectionError):  # It has heard enough, and says so below.
            for part in parts:
                line.sendall(part.replace(b"HOST", host.encode()))
        while not re.search(rb"\r\n\r\n.*[}.]\s*(0\s*)?$", answer, re.DOTALL):
            piece = _heard(line)
            if not piece:
                break
            answer += piece
    return answer


def _heard(line: socket.socket) -> bytes:
    try:
        return line.recv(65_536)
    except ConnectionResetError:
        return b""


@pytest.mark.parametrize("name", RAW)
def test_what_is_no_proper_request_is_refused_or_hung_up_on(service: Served, name: str) -> None:
    sent, status = RAW[name]
    answer = _spoken(service, [sent] if isinstance(sent, bytes) else sent)
    if answer:
        first, _, sentence = answer.partition(b"\r\n")
        assert int(first.split()[1]) == status, answer[:300]
        assert b'"detail"' in sentence or b"Invalid HTTP request" in sentence
    else:
        assert status in {400, 413}
    assert httpx2.get(f"{service.address}/api/v1/health").status_code == 200


def test_large_bodies_leave_no_memory_behind(service: Served) -> None:
    """A refused body of 26 MB, eight times: what stays is less than one of them."""
    sent = _in_pieces(_P + b"/1/evidence", 26, b"image/jpeg")
    _spoken(service, sent)
    before = service.memory()
    for _ in range(8):
        _spoken(service, sent)
    assert service.memory() - before < 26 * MB


def test_a_body_that_drips_keeps_nobody_waiting_and_stores_nothing(service: Served) -> None:
    host = service.address.removeprefix("http://")
    name, _, port = host.partition(":")
    head = _sent(_P, b"Content-Length: 1000").replace(b"HOST", host.encode())
    lines = [socket.create_connection((name, int(port)), timeout=30) for _ in range(50)]
    for line in lines:
        line.sendall(head + b'{"format"')
    projects = httpx2.get(f"{service.address}{PLANS}", timeout=10).json()["projects"]
    for line in lines:
        line.close()
    assert projects == httpx2.get(f"{service.address}{PLANS}").json()["projects"]
    assert len(projects) == 1


def test_a_body_that_takes_too_long_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bodies, "SECONDS_TO_ARRIVE", 0.01)

    async def nothing_comes() -> Any:
        await asyncio.Event().wait()

    request = Request({"type": "http", "method": "POST", "headers": []}, nothing_comes)
    with pytest.raises(ProblemError, match="The body did not arrive within 0 s"):
        awaited(bodies.read_body(request, 10))


# --- What the body holds -----------------------------------------------------------------

DEEP = 10_000
HOSTILE: dict[str, tuple[bytes, tuple[str, ...]]] = {
    "10,000 lists": (b'{"notes":' + b"[" * DEEP + b"]" * DEEP + b"}", ("nest", "depth")),
    "10,000 objects": (b'{"a":' * DEEP + b"1" + b"}" * DEEP, ("nest", "depth")),
    "10,000 beginnings": (b"[" * DEEP, ("nest", "depth")),
    "1e400": (b'{"days": 1e400}', ("number", "is missing")),
    "5,000 digits": (b'{"days": ' + b"9" * 5_000 + b"}", ("number",)),
    "no number": (b'{"days": NaN}', ("not JSON", "is missing")),
    "half a letter": (rb'{"notes": "\ud800"}', ("not JSON",)),
    "NUL": (rb'{"notes": "a\u0000"}', ("NUL",)),
    "NUL as it is": (b'{"notes": "a\x00"}', ("not JSON",)),
    "bytes that are no letters": (b'{"notes": "\xff\xfe"}', ("not JSON",)),
    "two bytes for each letter": ('{"notes": "a"}'.encode("utf-16"), ("not JSON",)),
    "a mark before it": (b"\xef\xbb\xbf{}", ("not JSON",)),
    "packed": (b"\x1f\x8b\x08\x00", ("not JSON",)),
    "two of them": (b"{}{}", ("not JSON",)),
    "nothing": (b"", ("no body",)),
    "only white space": (b"  \n", ("not JSON",)),
    "no object": (b"[1]", ("object",)),
}  # fmt: skip
WAYS = {
    "a plan": ("POST", PLANS),
    "an edit": ("PATCH", f"{PLANS}/1{TASK}"),
    "a question": ("POST", f"{PLANS}/1/cases"),
    "what is to be undone": ("POST", f"{PLANS}/1/undo"),
}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", HOSTILE)
def test_json_that_does_harm_elsewhere_is_refused_in_one_sentence(
    shared_api: Api, name: str, way: str
) -> None:
    body, reasons = HOSTILE[name]
    method, path = WAYS[way]
    answer = shared_api.client.request(
        method, path, content=body, headers={"Content-Type": JSON, "If-Match": '"1"'}
    )
    problem = assert_problem(answer, answer.status_code)
    assert problem["status"] in {400, 422}
    assert any(one in problem["detail"] for one in reasons), problem["detail"]
    assert len(problem["detail"]) < 300
    assert shared_api.plan_version == 1


REPEATED = {
    "a plan": b'{"format": "ribstitch-plan/1", "project": {"start": "2026-01-05", "name": "a", '
    b'"start": "2026-01-06"}}',
    "an edit": b'{"days": 4, "days": 5}',
    "a question": b'{"cases": [{"name": "A", "changes": [], "name": "B"}]}',
    "what is to be undone": b'{"kind": "task", "key": "T2", "kind": "task"}',
}


@pytest.mark.parametrize("way", WAYS)
def test_a_key_twice_is_refused_since_one_value_would_be_lost(shared_api: Api, way: str) -> None:
    method, path = WAYS[way]
    answer = shared_api.client.request(
        method, path, content=REPEATED[way], headers={"Content-Type": JSON, "If-Match": '"1"'}
    )
    assert_problem(answer, 422, "The body has the key", "twice in one object")
    assert shared_api.plan_version == 1


@pytest.mark.parametrize(
    "declared",
    ["", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x",
     "application/jsonp", "application/json, text/plain", "x" * 10_000],
)  # fmt: skip
@pytest.mark.parametrize("way", WAYS)
def test_a_body_of_another_type_is_not_looked_at(shared_api: Api, way: str, declared: str) -> None:
    method, path = WAYS[way]
    headers = {"Content-Type": declared, "If-Match": '"1"'}
    answer = shared_api.client.request(method, path, content=b"{}", headers=headers)
    assert len(assert_problem(answer, 415, "is needed")["detail"]) < 200


def test_a_sentence_repeats_no_long_address(shared_api: Api) -> None:
    for method in ("GET", "BREW"):
        answer = shared_api.client.request(method, "/assets/" + "x" * 5_000)
        assert len(assert_problem(answer, answer.status_code)["detail"]) < 300


def test_a_request_with_a_key_is_refused_in_words_while_the_database_is_away(
    lone_client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object) -> None:
        raise UnavailableError("planted")

    monkeypatch.setattr(Store, "answered", away)
    headers = {"Idempotency-Key": "long-enough-1"}
    answer = lone_client.post(PLANS, json=small_plan(), headers=headers)
    assert "planted" not in str(assert_problem(answer, 503, "database"))
    assert answer.headers["retry-after"] == "5"
