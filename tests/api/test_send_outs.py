"""Send-outs: the board, one item, what happened to it."""

from __future__ import annotations

from tests.api.asking import Api, assert_problem


def test_board_shows_where_everything_is(api: Api) -> None:
    board = api.read("/away")
    engine, propeller = board["send_outs"]
    assert board["finish"] == api.read("/schedule")["finish"]
    assert (engine["id"], engine["stage"], engine["vendor_name"]) == (
        "S1", "vendor_work", "Invented Engines",
    )  # fmt: skip
    assert engine["arrived"] == "2026-01-12"
    assert engine["critical"]
    assert (propeller["stage"], propeller["critical"]) == ("in shop", False)
    assert propeller["grace_days"] > engine["grace_days"] == 0
    assert propeller["last_safe_ship"] < propeller["need_by"]
    vendors = {vendor["id"]: vendor for vendor in board["vendors"]}
    assert vendors["V1"]["open"] == ["S1"]
    assert vendors["V1"]["grace_days"] == 0


def test_grace_on_the_board_is_where_the_late_curve_leaves_the_ground(api: Api) -> None:
    for item in api.read("/away")["send_outs"]:
        curve = api.read(f"/late-curve?send_out={item['id']}&days=120")
        grace = int(item["grace_days"])
        assert curve["grace_days"] == item["grace_days"]
        assert curve["moved_days"][grace] == 0
        assert curve["moved_days"][grace + 1] > 0


def test_a_later_promise_moves_the_finish_and_undo_takes_it_back(api: Api) -> None:
    answer = api.patch("/send-outs/S1", {"status": {"promised": "2026-06-30"}})
    done = answer.json()
    assert answer.status_code == 200, answer.text
    assert answer.headers["etag"] == '"2"'
    assert done["send_out"]["promised"] == "2026-06-30"
    assert done["send_out"]["arrived"] == "2026-01-12"
    assert done["finish"]["moved_days"] > 30
    undone = api.post("/undo", {"kind": "send_out", "key": "S1"}).json()
    assert undone["finish"]["after"] == done["finish"]["before"]


def test_one_send_out_as_in_the_plan_file_and_on_the_board(api: Api) -> None:
    api.settle()
    answer = api.get("/send-outs/S1")
    item = answer.json()
    assert answer.headers["etag"] == '"1"'
    assert item["send_out"]["lead_days"] == 40
    assert item["send_out"]["status"]["shipped"] == "2026-01-07"
    assert item["board"] == api.read("/away")["send_outs"][0]


def test_legs_are_edited(api: Api) -> None:
    done = api.patch("/send-outs/S1", {"lead_days": 60}).json()
    assert done["finish"]["moved_days"] > 20
    assert api.read("/changes")["changes"][0]["action"] == "send_out.edit"


def test_contact_is_noted_without_a_version(api: Api) -> None:
    answer = api.post("/send-outs/S1/contacts", {"on": "2026-01-30", "note": "On the bench."})
    assert answer.status_code == 201, answer.text
    assert answer.json()["send_out"]["contacts"] == [{"on": "2026-01-30", "note": "On the bench."}]
    assert answer.json()["finish"]["moved_days"] == 0
    late = api.post("/send-outs/S1/contacts", {"on": "2026-02-03", "note": "Tomorrow."})
    assert_problem(late, 422, "2026-02-03", "as-of date")


def test_rejected_item_goes_out_again_under_an_address_with_a_slash(api: Api) -> None:
    dates = {"left_vendor": "2026-01-23", "received": "2026-01-28"}
    api.patch("/send-outs/S1", {"status": dates}, version=1)
    unconditional = api.post("/send-outs/S1/rejection", {"on": "2026-01-29"})
    assert_problem(unconditional, 428)
    answer = api.client.post(
        f"{api.root}/send-outs/S1/rejection",
        json={"on": "2026-01-29"},
        headers={"If-Match": '"2"'},
    )
    assert answer.status_code == 201, answer.text
    assert answer.json()["finish"]["moved_days"] > 30
    assert api.read("/send-outs/S1")["send_out"]["status"]["rejected"] == "2026-01-29"
    trip = api.read("/send-outs/S1/2")["send_out"]
    assert trip["trip_of"] == "S1"
    assert trip["lead_days"] == 40
    assert api.patch("/send-outs/S1/2", {"lead_days": 20}).status_code == 200
    noted = api.post("/send-outs/S1/2/contacts", {"on": "2026-01-30", "note": "Again."})
    assert noted.status_code == 201, noted.text


def test_dates_that_cannot_be_are_refused(api: Api) -> None:
    future = api.patch("/send-outs/S1", {"status": {"quoted": "2026-03-01"}})
    problem = assert_problem(future, 422, "2026-03-01", "as-of date")
    assert problem["field"] == "status.quoted"
    backwards = api.patch("/send-outs/S1", {"status": {"received": "2026-01-08"}})
    assert_problem(backwards, 422, "2026-01-08", "before")
    assert_problem(api.patch("/send-outs/S1", {"vendor": "V9"}), 422, "vendor", '"V9"')
    assert_problem(api.get("/send-outs/S9"), 404, 'no send-out "S9"')
    assert_problem(api.patch("/send-outs/S9", {"notes": "x"}), 404, 'no send-out "S9"')
    assert api.plan_version == 1
