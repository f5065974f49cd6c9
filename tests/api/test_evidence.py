"""Photos and documents: put in, told about, given out as what they are, and refused as what not."""

from __future__ import annotations

import re
import shutil
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from httpx2 import Response
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from starlette.testclient import TestClient

from tests.api import pictures
from tests.api.asking import Api, assert_problem, small_plan, take_in

JPEG, PNG, WEBP, PDF = "image/jpeg", "image/png", "image/webp", "application/pdf"
OCTETS = "application/octet-stream"


def send(api: Api, content: bytes, media_type: str = JPEG, **query: str) -> Response:
    """Send a file."""
    return api.client.post(
        f"{api.root}/evidence",
        content=content,
        params=query,
        headers={"Content-Type": media_type},
    )


def added(api: Api, content: bytes | None = None, media_type: str = JPEG, **query: str) -> Any:
    """Send a file that is taken; return its line."""
    answer = send(api, pictures.picture() if content is None else content, media_type, **query)
    assert answer.status_code == 201, answer.text
    return answer.json()


def kept(tmp_path: Path) -> list[Path]:
    """Return the files that lie beside the database."""
    return [one for one in (tmp_path / "files").rglob("*") if one.is_file()]


def stored_by(api: Api) -> list[str]:
    """Return the names of the files that a service has beside its database."""
    folder = api.client.app.state.service.files.folder  # type: ignore[attr-defined]
    return sorted(one.name for one in folder.rglob("*") if one.is_file())


def test_photo_is_kept_told_about_and_given_out(api: Api, tmp_path: Path) -> None:
    content = pictures.picture(shade=90)
    done = added(
        api, content, task="T2", zone="tail", caption="Fin, root", taken_on="2026-01-30",
        name="IMG_0001.jpg",
    )  # fmt: skip
    digest = sha256(content).hexdigest()
    line = {
        "key": "E1", "id": "E1", "version": 1, "sha256": digest, "media_type": JPEG,
        "size": len(content), "added_on": "2026-02-02", "taken_on": "2026-01-30",
        "name": "IMG_0001.jpg", "caption": "Fin, root", "by": "Shop lead", "zone": "tail",
        "task": "T2", "finding": None, "send_out": None, "over_and_above": None,
    }  # fmt: skip
    assert {name: done[name] for name in line} == line
    assert done["finish"]["moved_days"] == 0
    assert api.read("/evidence") == {"evidence": [line]}
    assert api.read("/evidence/E1") == line
    answer = api.get("/evidence/E1/file")
    assert answer.content == content
    assert answer.headers["content-type"] == JPEG
    lies_in = tmp_path / "files" / digest[:2] / digest
    assert lies_in.read_bytes() == content
    changes = api.read("/changes")["changes"]
    assert (changes[0]["kind"], changes[0]["action"]) == ("evidence", "evidence.add")
    (exported,) = api.read("/plan-file")["evidence"]
    assert exported["sha256"] == digest


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("declared", ["as it is", OCTETS])
def test_pictures_of_three_kinds_are_taken(lone_api: Api, kind: str, declared: str) -> None:
    media_type = f"image/{kind.lower()}"
    sent_as = media_type if declared == "as it is" else declared
    done = added(lone_api, pictures.picture(kind), sent_as)
    assert done["media_type"] == media_type
    assert lone_api.get("/evidence/E1/thumbnail").headers["content-type"] == WEBP


def test_document_is_given_out_to_be_saved_and_has_no_small_picture(lone_api: Api) -> None:
    added(lone_api, pictures.PDF, PDF, name="Form 1.pdf")
    answer = lone_api.get("/evidence/E1/file")
    assert answer.content == pictures.PDF
    assert answer.headers["content-type"] == PDF
    assert answer.headers["content-disposition"].startswith("attachment;")
    assert_problem(lone_api.get("/evidence/E1/thumbnail"), 404, "E1", "document")


WHOLE = pictures.picture(size=(640, 480))
WHOLE_PNG = pictures.picture("PNG", (640, 480))
HOSTILE: dict[str, tuple[bytes, str, int, tuple[str, ...]]] = {
    "page renamed to .jpg": (
        b"<!doctype html><script>alert(1)</script>", JPEG, 422, ("no JPEG, PNG or WebP",)
    ),
    "drawing with a script": (
        b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>', PNG, 422, ("no JPEG",)
    ),
    "GIF that is a script as well": (
        b"GIF89a/*" + bytes(40) + b"*/=1;alert(1)", JPEG, 422, ("no JPEG",)
    ),
    "program": (b"\x7fELF\x02\x01\x01" + bytes(200), OCTETS, 422, ("no JPEG",)),
    "archive": (pictures.zip_of(10), OCTETS, 422, ("no JPEG",)),
    "archive that grows, called .pdf": (pictures.zip_of(50_000_000), PDF, 422, ("no PDF",)),
    "bitmap": (b"BM" + bytes(100), OCTETS, 422, ("no JPEG",)),
    "PNG with 2.5 thousand million points": (
        pictures.png_bomb(50_000, 50_000), PNG, 422, ("more than 64 million points",)
    ),
    "PNG with 150 million points": (
        pictures.png_bomb(15_000, 10_000), PNG, 422, ("more than 64 million points",)
    ),
    "PNG with 80 million points": (
        pictures.png_bomb(10_000, 8_000), PNG, 422, ("64 million points", "10000 × 8000")
    ),
    "PNG whose text grows": (pictures.png_with_text(80_000_000), PNG, 422, ("cannot be read",)),
    "JPEG cut in the middle": (WHOLE[: len(WHOLE) // 2], JPEG, 422, ("cut off",)),
    "JPEG cut after its mark": (WHOLE[:4], JPEG, 422, ("cut off",)),
    "PNG cut in the middle": (WHOLE_PNG[: len(WHOLE_PNG) // 2], PNG, 422, ("cut off",)),
    "PDF without an end": (pictures.PDF[:30], PDF, 422, ("cut off",)),
    "JPEG sent as a PDF": (WHOLE, PDF, 422, (PDF, JPEG)),
    "PNG sent as a JPEG": (WHOLE_PNG, JPEG, 422, (PNG, JPEG)),
    "photo sent as a page": (WHOLE, "text/html", 415, ('"text/html"', JPEG)),
    "photo sent as a form": (WHOLE, "multipart/form-data", 415, ("multipart",)),
    "photo sent as nothing": (WHOLE, "", 415, ("nothing was given",)),
    "drawing sent as one": (b"<svg/>", "image/svg+xml", 415, ("image/svg+xml",)),
    "nothing": (b"", JPEG, 400, ("no file",)),
    "more than may be": (WHOLE + bytes(1_000_000), JPEG, 413, ("file is larger than 1 MB",)),
}  # fmt: skip


@pytest.fixture(scope="module")
def shelf(shared_client: TestClient) -> Api:
    """Return one project for a whole table."""
    return Api(shared_client, small_plan())


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_photo_and_no_document_is_refused_in_one_sentence(shelf: Api, name: str) -> None:
    content, media_type, status, parts = HOSTILE[name]
    version, files = shelf.plan_version, stored_by(shelf)
    assert_problem(send(shelf, content, media_type), status, *parts)
    assert shelf.plan_version == version
    assert stored_by(shelf) == files


def test_more_than_may_be_is_refused_while_it_comes(lone_api: Api) -> None:
    """Without a declared length the body is counted."""
    parts = (WHOLE if number == 0 else bytes(100_000) for number in range(20))
    answer = lone_api.client.post(
        f"{lone_api.root}/evidence", content=parts, headers={"Content-Type": JPEG}
    )
    assert_problem(answer, 413, "larger than 1 MB")


NAMES = {
    "folders": ("../../x.jpg", "x.jpg"),
    "folders of another system": (r"..\..\x.jpg", "x.jpg"),
    "only folders": ("../..", ""),
    "two lines": ("a\r\nSet-Cookie: b=c.jpg", "aSet-Cookie: b=c.jpg"),
    "quotes": ('a"; filename="b.html', 'a"; filename="b.html.jpg'),
    "a page": ("wing.html", "wing.html.jpg"),
    "no ending": ("wing", "wing.jpg"),
    "capitals": ("WING.JPEG", "WING.JPEG"),
    "other letters": ("Flügel ✈️ 東.jpg", "Flügel ✈️ 東.jpg"),
    "300 letters": ("x" * 300 + ".jpg", "x" * 116 + ".jpg"),
    "300 letters after a dot": ("a." + "x" * 300, "a." + "x" * 118 + ".jpg"),
    "nothing": ("", ""),
}


@pytest.mark.parametrize("name", NAMES)
def test_no_name_does_harm(shelf: Api, name: str) -> None:
    """RFC 6266 with RFC 8187: plain letters in `filename`, all of them in `filename*`."""
    given_name, saved_as = NAMES[name]
    key = added(shelf, WHOLE, name=given_name)["key"]
    header = shelf.get(f"/evidence/{key}/file").headers["content-disposition"]
    ((kind, plain, full),) = re.findall(r'^(\w+); (filename=".*"); (filename\*=\S+)$', header)
    assert kind == "inline"
    assert unquote(full.removeprefix("filename*=UTF-8''")) == (saved_as or f"{key}.jpg")
    assert plain.count('"') == 2
    assert header.isascii()
    assert header.isprintable()
    assert {one.partition(".")[0] for one in stored_by(shelf)} == {sha256(WHOLE).hexdigest()}


def test_a_file_can_run_nothing_and_is_kept_by_its_digest(lone_api: Api) -> None:
    digest = added(lone_api, WHOLE)["sha256"]
    for path in ("/evidence/E1/file", "/evidence/E1/thumbnail"):
        headers = lone_api.get(path).headers
        assert headers["content-security-policy"] == (
            "default-src 'none'; frame-ancestors 'none'; sandbox"
        )
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["cache-control"] == "private, no-cache"
        named = lone_api.get(path, params={"digest": digest}).headers
        assert named["cache-control"] == "private, max-age=31536000, immutable"
        other = lone_api.get(path, params={"digest": "0" * 64}).headers
        assert other["cache-control"] == "private, no-cache"
        again = lone_api.get(path, headers={"If-None-Match": headers["etag"]})
        assert (again.status_code, again.content) == (304, b"")


def test_thumbnail_is_small_upright_and_says_nothing_of_the_camera(lone_api: Api) -> None:
    """By hand: 1200 × 800 turned by 90° is 800 × 1200, so 320 × 480; black comes to lie on top."""
    photo = pictures.camera_photo()
    assert b"MAKER-OF-THE-CAMERA" in photo
    assert b"SECRET-COMMENT" in photo
    added(lone_api, photo)
    small = lone_api.get("/evidence/E1/thumbnail").content
    with Image.open(BytesIO(small)) as shown:
        assert shown.format == "WEBP"
        assert shown.size == (320, 480)
        grey = shown.convert("L")
        assert max(grey.crop((0, 0, 320, 200)).tobytes()) < 10
        assert min(grey.crop((0, 280, 320, 480)).tobytes()) > 245
        assert dict(shown.getexif()) == {}
    assert b"MAKER" not in small
    assert b"SECRET" not in small


def test_what_can_be_seen_through_stays_so_in_the_small_picture(lone_api: Api) -> None:
    made = BytesIO()
    Image.new("RGBA", (600, 600), (0, 0, 0, 0)).save(made, "PNG")
    added(lone_api, made.getvalue(), PNG)
    with Image.open(BytesIO(lone_api.get("/evidence/E1/thumbnail").content)) as shown:
        assert shown.convert("RGBA").getpixel((100, 100))[3] == 0  # type: ignore[index]


def test_a_small_picture_that_is_gone_is_made_again(lone_api: Api, tmp_path: Path) -> None:
    added(lone_api, WHOLE)
    first = lone_api.get("/evidence/E1/thumbnail").content
    (made,) = [one for one in kept(tmp_path) if one.suffix]
    made.unlink()
    assert lone_api.get("/evidence/E1/thumbnail").content == first
    assert made.read_bytes() == first


def test_the_same_file_is_kept_once_whatever_it_is_added_to(api: Api, tmp_path: Path) -> None:
    first, second = added(api, WHOLE, task="T2"), added(api, WHOLE, zone="wing")
    assert (first["key"], second["key"]) == ("E1", "E2")
    assert first["sha256"] == second["sha256"]
    assert len([one for one in kept(tmp_path) if not one.suffix]) == 1


def test_files_are_listed_by_what_they_show_and_by_month(lone_api: Api) -> None:
    added(lone_api, task="T2", taken_on="2025-12-31")
    added(lone_api, task="T3", taken_on="2026-01-01")
    added(lone_api, task="T3", zone="tail", taken_on="2026-01-31")
    added(lone_api, send_out="S1")

    def keys(query: str) -> list[str]:
        return [line["key"] for line in lone_api.read(f"/evidence{query}")["evidence"]]

    assert keys("") == ["E1", "E2", "E3", "E4"]
    assert keys("?task=T3") == ["E2", "E3"]
    assert keys("?task=T3&zone=tail") == ["E3"]
    assert keys("?send_out=S1") == ["E4"]
    assert keys("?task=none") == []
    assert keys("?month=2026-01") == ["E2", "E3"]
    assert keys("?month=2026-02") == ["E4"]
    assert_problem(lone_api.get("/evidence?month=2026-13"), 422, "month", "2026-13")


@pytest.mark.parametrize(
    ("field", "kind"),
    [
        ("zone", "zone"),
        ("finding", "finding"),
        ("task", "task"),
        ("send_out", "send-out"),
        ("over_and_above", "over-and-above"),
    ],
)
def test_what_is_not_in_the_plan_cannot_be_shown(
    api: Api, tmp_path: Path, field: str, kind: str
) -> None:
    refused = send(api, WHOLE, **{field: "none"})
    problem = assert_problem(refused, 422, field, f'no {kind} "none"')
    assert problem["field"] == field
    assert kept(tmp_path) == []
    assert api.plan_version == 1


def test_a_date_that_is_none_is_refused_before_the_file_is_kept(
    lone_api: Api, tmp_path: Path
) -> None:
    assert_problem(send(lone_api, WHOLE, taken_on="2026-02-31"), 422, "taken_on")
    assert_problem(send(lone_api, WHOLE, task="x" * 81), 422, "task")
    assert kept(tmp_path) == []


def test_caption_date_and_what_it_shows_are_edited(api: Api) -> None:
    added(api, task="T2")
    edit = {"caption": "Rivets drilled out", "taken_on": "2026-01-29", "task": "T3", "zone": "tail"}
    done = api.patch("/evidence/E1", edit)
    assert done.status_code == 200, done.text
    assert {name: done.json()[name] for name in edit} == edit
    assert done.json()["version"] == 2
    stale = api.patch("/evidence/E1", {"caption": "Late"}, version=1)
    assert_problem(stale, 412, "Shop lead changed evidence E1", "caption")
    assert api.read("/evidence/E1")["caption"] == "Rivets drilled out"
    assert_problem(api.patch("/evidence/E1", {"task": "T77"}, 2), 422, "task", '"T77"')
    assert_problem(api.patch("/evidence/E9", edit), 404, 'no evidence "E9"')


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("sha256", "0" * 64),
        ("media_type", "text/html"),
        ("size", 3),
        ("added_on", "2026-01-01"),
        ("by", "Owner"),
    ],
)
def test_no_edit_turns_a_file_into_another_one(lone_api: Api, field: str, value: object) -> None:
    added(lone_api)
    problem = assert_problem(
        lone_api.patch("/evidence/E1", {field: value}), 422, field, "stays as it is"
    )
    assert problem["field"] == field
    assert lone_api.plan_version == 2


def test_what_is_taken_out_comes_back_by_undo_and_its_number_is_not_given_again(
    api: Api, tmp_path: Path
) -> None:
    added(api, WHOLE, caption="First")
    assert api.delete("/evidence/E1", version=1).status_code == 200
    assert api.read("/evidence") == {"evidence": []}
    assert_problem(api.get("/evidence/E1/file"), 404, 'no evidence "E1"')
    assert kept(tmp_path) != []
    assert added(api, pictures.picture(shade=1))["key"] == "E2"
    undone = api.post("/undo", {"kind": "evidence", "key": "E1"})
    assert undone.status_code == 200, undone.text
    assert api.read("/evidence/E1")["caption"] == "First"
    assert api.get("/evidence/E1/file").content == WHOLE


def test_undo_takes_back_what_was_added(api: Api) -> None:
    added(api, WHOLE)
    assert api.post("/undo", {"kind": "evidence", "key": "E1"}).status_code == 200
    assert api.read("/evidence") == {"evidence": []}


def test_what_a_sign_off_stands_on_stays(lone_api: Api) -> None:
    photo = added(lone_api, WHOLE)
    own = {name: photo[name] for name in ("id", "sha256", "media_type", "size", "added_on")}
    signed = {"id": "G1", "on": "2026-02-02", "by": "Inspector 1", "task": "T2", "evidence": ["E1"]}
    lone_api.root = f"/api/v1/projects/{take_in(lone_api.client, small_plan(evidence=[own], sign_offs=[signed]))}"  # noqa: E501
    refused = lone_api.delete("/evidence/E1", version=1)
    assert_problem(refused, 422, 'still names the evidence "E1"')


def test_owner_looks_and_does_not_add(lone_api: Api, tmp_path: Path) -> None:
    added(lone_api, WHOLE)
    lone_api.be("owner")
    assert_problem(send(lone_api, pictures.picture(shade=1)), 403, "owner reads")
    assert_problem(lone_api.patch("/evidence/E1", {"caption": "x"}), 403)
    assert_problem(lone_api.delete("/evidence/E1", version=1), 403)
    assert lone_api.get("/evidence/E1/file").content == WHOLE
    assert lone_api.get("/evidence/E1/thumbnail").status_code == 200


def test_plan_taken_in_elsewhere_says_that_its_files_are_not_here(lone_api: Api) -> None:
    named = {"id": "E5", "sha256": "ab" * 32, "media_type": "text/html", "size": 5,
             "added_on": "2026-01-05"}  # fmt: skip
    number = take_in(lone_api.client, small_plan(evidence=[named]))
    for what in ("file", "thumbnail"):
        answer = lone_api.client.get(f"/api/v1/projects/{number}/evidence/E5/{what}")
        assert_problem(answer, 404, "abababababab…", "not here")


def test_no_plan_file_makes_a_page_of_a_file(lone_api: Api, tmp_path: Path) -> None:
    """A page that somebody laid into the folder by hand, named by a plan file as such."""
    page = b"<!doctype html><script>alert(1)</script>"
    digest = sha256(page).hexdigest()
    place = tmp_path / "files" / digest[:2] / digest
    place.parent.mkdir(parents=True)
    place.write_bytes(page)
    named = {"id": "E5", "sha256": digest, "media_type": "text/html", "size": len(page),
             "added_on": "2026-01-05"}  # fmt: skip
    number = take_in(lone_api.client, small_plan(evidence=[named]))
    for what in ("file", "thumbnail"):
        answer = lone_api.client.get(f"/api/v1/projects/{number}/evidence/E5/{what}")
        assert_problem(answer, 422, "no photo and no document")


def test_file_that_was_changed_behind_its_back_is_not_shown(lone_api: Api, tmp_path: Path) -> None:
    digest = added(lone_api, WHOLE)["sha256"]
    place = tmp_path / "files" / digest[:2] / digest
    place.write_bytes(pictures.picture(shade=7))
    assert_problem(lone_api.get("/evidence/E1/file"), 404, digest[:12], "was changed")
    assert added(lone_api, WHOLE)["key"] == "E2"
    assert lone_api.get("/evidence/E1/file").content == WHOLE


def test_folder_that_cannot_be_written_is_told_and_nothing_is_stored(
    lone_api: Api, tmp_path: Path
) -> None:
    (tmp_path / "files").write_bytes(b"a file where the folder should be")
    assert_problem(send(lone_api, WHOLE), 503, "folder of photos and documents")
    assert lone_api.plan_version == 1
    (tmp_path / "files").unlink()
    added(lone_api, WHOLE)
    shutil.rmtree(tmp_path / "files")
    assert_problem(lone_api.get("/evidence/E1/file"), 404, "not here")


STARTS = {
    JPEG: (b"\xff\xd8\xff\xe0", WHOLE[:200], WHOLE),
    PNG: (b"\x89PNG\r\n\x1a\n", WHOLE_PNG[:60], WHOLE_PNG),
    WEBP: (b"RIFF\x00\x00\x00\x00WEBPVP8 ", pictures.picture("WEBP")[:40]),
    PDF: (b"%PDF-1.7\n",),
    OCTETS: (b"",),
}


@given(st.data())
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_sent_is_taken_or_refused_and_is_no_mistake(
    lone_api: Api, data: st.DataObject
) -> None:
    """One project for all of them: what one leaves behind is no matter to the next."""
    media_type = data.draw(st.sampled_from(sorted(STARTS)))
    begun = data.draw(st.sampled_from(STARTS[media_type]))
    content = begun + data.draw(st.binary(max_size=200))
    answer = send(lone_api, content, media_type)
    if answer.status_code == 201:
        assert lone_api.get(f"/evidence/{answer.json()['key']}/file").content == content
    else:
        assert_problem(answer, 422 if content else 400)


def test_statement_shows_six_photos_of_the_month_those_with_captions_first(lone_api: Api) -> None:
    """As of 2 February; by hand: of the two of January without a caption the earlier, E6, goes."""
    for day in range(1, 8):
        caption = "" if day in {6, 7} else f"Day {day}"
        added(lone_api, pictures.picture(shade=day), taken_on=f"2026-01-0{day}", caption=caption)
    added(lone_api, pictures.PDF, PDF, taken_on="2026-01-09", caption="A form")
    added(lone_api, WHOLE, caption="Added in February")
    january = lone_api.read("/statement?month=2026-01")["photos"]
    assert [one["key"] for one in january] == ["E1", "E2", "E3", "E4", "E5", "E7"]
    assert january[0]["caption"] == "Day 1"
    february = lone_api.read("/statement")["photos"]
    assert [(one["key"], one["taken_on"]) for one in february] == [("E9", None)]
