"""A shop's own drawing: put in as a picture, zones traced on it, given out, taken back."""

from __future__ import annotations

from hashlib import sha256
from io import BytesIO
from typing import Any

import pytest
from httpx2 import Response
from PIL import Image

from ribstitch.services.evidence_file import media_type_of
from tests.api import pictures
from tests.api.asking import Api, assert_problem
from tests.api.test_evidence import stored_by

PNG, JPEG, WEBP, PDF = "image/png", "image/jpeg", "image/webp", "application/pdf"
TAIL = {"zone": "tail", "corners": [[0.5, 0.25], [1, 0.25], [0.75, 1]]}
WING = {"zone": "wing", "corners": [[0, 0], [0.5, 0], [0.5, 0.5], [0, 0.5]]}


def send(api: Api, content: bytes, media_type: str = PNG, **query: str) -> Response:
    """Send a picture."""
    headers = {"Content-Type": media_type}
    return api.client.post(f"{api.root}/drawings", content=content, params=query, headers=headers)


def added(api: Api, **query: str) -> Any:
    """Send a picture that is taken; return its line."""
    answer = send(api, pictures.picture("PNG", (640, 480)), **query)
    assert answer.status_code == 201, answer.text
    return answer.json()


def test_a_picture_is_kept_listed_and_given_out(lone_api: Api) -> None:
    done = added(lone_api, name="side.png")
    line = {
        "key": "D1", "id": "D1", "version": 1, "sha256": done["sha256"], "width": 640,
        "height": 480, "added_on": "2026-02-02", "name": "side.png", "by": "Shop lead",
        "shown": True, "outlines": [],
    }  # fmt: skip
    assert {name: done[name] for name in line} == line
    assert lone_api.read("/drawings") == {"drawings": [line]}
    assert lone_api.read("/drawings/D1") == line
    answer = lone_api.get("/drawings/D1/file", params={"digest": done["sha256"]})
    assert sha256(answer.content).hexdigest() == done["sha256"]
    assert (answer.headers["content-type"], media_type_of(answer.content)) == (WEBP, WEBP)
    assert "immutable" in answer.headers["cache-control"]
    assert "sandbox" in answer.headers["content-security-policy"]
    assert stored_by(lone_api) == [done["sha256"]]


def test_a_photo_of_a_drawing_is_kept_upright_small_and_without_the_place(lone_api: Api) -> None:
    """By hand: 3000 × 1500, to be turned by 90°, is 1500 × 3000, and half as large 1000 × 2000."""
    done = send(lone_api, pictures.camera_photo((3000, 1500)), JPEG).json()
    assert (done["width"], done["height"]) == (1000, 2000)
    content = lone_api.get("/drawings/D1/file").content
    assert b"MAKER-OF-THE-CAMERA" not in content
    assert b"SECRET-COMMENT" not in content
    with Image.open(BytesIO(content)) as kept:
        assert kept.size == (1000, 2000)
        assert not kept.getexif()
        assert kept.getpixel((500, 100)) != kept.getpixel((500, 1900))


def test_clear_paper_is_made_white(lone_api: Api) -> None:
    made = BytesIO()
    Image.new("RGBA", (40, 30), (0, 0, 0, 0)).save(made, "PNG")
    send(lone_api, made.getvalue())
    with Image.open(BytesIO(lone_api.get("/drawings/D1/file").content)) as kept:
        assert kept.getpixel((20, 15)) == (255, 255, 255)


def test_a_thin_line_of_a_scan_in_black_and_white_outlasts_being_made_smaller(
    lone_api: Api,
) -> None:
    """By hand: a line of 1 point in 4000, made half as wide, darkens its point of 2000 by half."""
    scan = Image.new("1", (4000, 100), 1)
    scan.paste(0, (2000, 0, 2001, 100))
    made = BytesIO()
    scan.save(made, "PNG")
    send(lone_api, made.getvalue())
    with Image.open(BytesIO(lone_api.get("/drawings/D1/file").content)) as kept:
        shades = kept.convert("L").crop((990, 20, 1010, 30)).tobytes()
        assert min(shades) < 192


@pytest.mark.parametrize(
    ("content", "media_type", "status", "words"),
    [
        (b'<svg xmlns="http://www.w3.org/2000/svg"/>', PNG, 422, "no JPEG, PNG or WebP"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "image/svg+xml", 415, "image/png"),
        (pictures.PDF, PDF, 415, "image/png"),
        (pictures.PDF, "application/octet-stream", 422, "save the page"),
        (pictures.picture("PNG"), JPEG, 422, "image/png"),
        (pictures.picture("PNG", (640, 480))[:-80], PNG, 422, "broken or cut off"),
        (pictures.png_bomb(50_000, 50_000), PNG, 422, "64 million points"),
        (b"", PNG, 400, "no file"),
    ],
)
def test_what_is_no_picture_is_refused_and_nothing_stored(
    shared_api: Api, content: bytes, media_type: str, status: int, words: str
) -> None:
    before = (shared_api.plan_version, stored_by(shared_api))
    answer = send(shared_api, content, media_type)
    assert answer.status_code == status, answer.text
    assert words in answer.text
    assert (shared_api.plan_version, stored_by(shared_api)) == before


def test_zones_are_traced_travel_in_the_plan_file_and_are_taken_back(api: Api) -> None:
    added(api, name="Side")
    done = api.patch("/drawings/D1", {"outlines": [TAIL, WING]})
    assert (done.status_code, done.json()["outlines"]) == (200, [TAIL, WING])
    assert done.json()["finish"]["moved_days"] == 0
    (exported,) = api.read("/plan-file")["drawings"]
    assert exported["outlines"] == [TAIL, WING]
    assert "shown" not in exported
    assert api.patch("/drawings/D1", {"shown": False}, 2).status_code == 200
    assert api.read("/drawings/D1")["outlines"] == [TAIL, WING]
    for outlines in ([TAIL, WING], []):
        back = api.post("/undo", {"kind": "drawing", "key": "D1"})
        assert back.status_code == 200, back.text
        assert api.read("/drawings/D1")["outlines"] == outlines
    assert api.read("/changes")["changes"][0]["kind"] == "drawing"


def test_a_newer_edit_is_not_overwritten(lone_api: Api) -> None:
    added(lone_api)
    assert lone_api.patch("/drawings/D1", {"outlines": [TAIL]}).status_code == 200
    assert_problem(lone_api.patch("/drawings/D1", {"outlines": [WING]}), 412)
    assert_problem(lone_api.patch("/drawings/D1", {"outlines": [WING]}, None), 428)
    assert lone_api.read("/drawings/D1")["outlines"] == [TAIL]


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        ({"outlines": [{**TAIL, "zone": "fin"}]}, ("outlines[0].zone", '"fin"')),
        ({"outlines": [TAIL, TAIL]}, ("outlines[1].zone", "already")),
        ({"outlines": [{**TAIL, "corners": TAIL["corners"][:2]}]}, ("corners", "3 to 200")),
        ({"outlines": [{**TAIL, "corners": [[0, 0, 0]] * 3}]}, ("corners[0]",)),
        ({"outlines": [{**TAIL, "corners": [[0, 2]] * 3}]}, ("corners[0][1]", "between 0 and 1")),
        ({"sha256": "a" * 64}, ("sha256", "stays as it is")),
        ({"width": 5}, ("width", "stays as it is")),
        ({"id": "D2"}, ("id",)),
    ],
)
def test_an_edit_that_makes_no_sense_is_one_sentence(
    lone_api: Api, edit: dict[str, Any], words: tuple[str, ...]
) -> None:
    added(lone_api)
    assert_problem(lone_api.patch("/drawings/D1", edit), 422, *words)
    assert lone_api.plan_version == 2


def test_a_zone_on_a_drawing_is_not_taken_out_before_its_outline(lone_api: Api) -> None:
    lone_api.client.post(f"{lone_api.root}/zones", json={"id": "fin", "name": "Fin"})
    added(lone_api, name="Side")
    lone_api.patch("/drawings/D1", {"outlines": [{**TAIL, "zone": "fin"}]})
    assert_problem(lone_api.delete("/zones/fin", 1), 422, '"Side" still names the zone "fin"')
    assert lone_api.delete("/drawings/D1", 2).status_code == 200
    assert lone_api.delete("/zones/fin", 1).status_code == 200


def test_a_drawing_that_was_taken_out_comes_back_with_its_zones(lone_api: Api) -> None:
    added(lone_api)
    lone_api.patch("/drawings/D1", {"outlines": [TAIL]})
    assert lone_api.delete("/drawings/D1", 2).status_code == 200
    assert lone_api.read("/drawings") == {"drawings": []}
    assert lone_api.post("/undo", {"kind": "drawing", "key": "D1"}).status_code == 200
    assert lone_api.read("/drawings/D1")["outlines"] == [TAIL]
    assert lone_api.get("/drawings/D1/file").status_code == 200


def test_a_picture_that_is_not_here_says_so(lone_api: Api) -> None:
    done = added(lone_api)
    folder = lone_api.client.app.state.service.files.folder  # type: ignore[attr-defined]
    (folder / done["sha256"][:2] / done["sha256"]).unlink()
    assert_problem(lone_api.get("/drawings/D1/file"), 404)
