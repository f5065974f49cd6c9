"""Checks over the API: what is refused until they are settled, and what is kept of it."""

from __future__ import annotations

from typing import Any

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from tests.api.asking import Api, assert_problem, small_plan

DAY = "2026-02-02"
DONE = {"status": {"state": "done", "started": DAY, "finished": DAY}}
STARTED = {"status": {"state": "in_work", "started": DAY}}
SHA = "ab" * 32


def plan(kind: str = "hold", **changes: Any) -> dict[str, Any]:
    """Return the small plan with a check on stripping the fin, and a photo that shows nothing."""
    made = small_plan(**changes)
    made["tasks"][1]["check"] = {"kind": kind, "wants": "paint record"}
    made["evidence"] = [
        {"id": "E1", "sha256": SHA, "media_type": "image/png", "size": 9, "added_on": DAY}
    ]
    return made


@pytest.fixture
def shop(lone_client: TestClient) -> Api:
    """Return a client of a plan with a hold point."""
    return Api(lone_client, plan())


@pytest.fixture
def buying(lone_client: TestClient) -> Api:
    """Return a client of a plan with a buy-off."""
    return Api(lone_client, plan("buy_off"))


def sign(api: Api, version: Any = 1, **body: Any) -> Response:
    """Sign the check of T2."""
    headers = {} if version is None else {"If-Match": f'"{version}"'}
    path = f"{api.root}/tasks/T2/sign-off"
    return api.client.post(path, json={"by": "Inspector 1", **body}, headers=headers)


def undo(api: Api, kind: str, key: str, what: str = "undo") -> Response:
    """Take the last change of a thing back, or bring it back again."""
    return api.post(f"/{what}", {"kind": kind, "key": key})


def rests_on_the_check(api: Api, key: str, why: str, again: str) -> None:
    """See a signature stay from under what T2 was made since, which is to be taken back first."""
    assert_problem(undo(api, "sign_off", key), 409, f"T2 (Strip the fin) {why}")
    assert undo(api, "task", "T2").is_success
    assert undo(api, "sign_off", key).is_success
    assert_problem(undo(api, "task", "T2", "redo"), 409, f"T2 (Strip the fin) {again}")


def test_a_task_is_not_done_before_its_check_is_settled(shop: Api) -> None:
    before = shop.plan_version
    refused = shop.patch("/tasks/T2", DONE)
    sentence = (
        "T2 (Strip the fin) cannot count as done: it wants evidence (paint record); attach it, "
        "or pass over it by name and with a reason."
    )
    problem = assert_problem(refused, 409, sentence)
    assert (problem["task"], problem["check"]) == ("T2", "T2")
    assert shop.plan_version == before


def test_a_task_does_not_start_behind_it(shop: Api) -> None:
    refused = shop.patch("/tasks/T3", STARTED)
    sentence = (
        "T3 may not start: T2 (Strip the fin) wants evidence (paint record); attach it, or "
        "pass over it by name and with a reason."
    )
    assert assert_problem(refused, 409, sentence)["task"] == "T3"


def test_no_other_edit_is_a_way_round(shop: Api) -> None:
    """With other fields, a further task, a milestone, and by taking the check off."""
    assert_problem(shop.patch("/tasks/T2", {**DONE, "notes": "quick"}), 409, "cannot count")
    more = {"id": "T9", "days": 1, **DONE, "check": {"kind": "witness"}}
    assert_problem(shop.post("/tasks", more), 409, "T9 cannot count as done: it wants a witness;")
    assert_problem(shop.patch("/tasks/T5", DONE), 409, "T5 may not start: T2")
    assert_problem(shop.patch("/tasks/T2", {"check": None}), 422, "check: what", "not settled")
    other = {"check": {"kind": "witness"}}
    assert_problem(shop.patch("/tasks/T2", other), 422, "pass over it by name")
    assert shop.patch("/tasks/T2", {"check": {"wants": "paint record, two copies"}}).is_success
    assert_problem(shop.patch("/tasks/T2", DONE, 2), 409, "paint record, two copies")


def sending(kind: str = "hold") -> dict[str, Any]:
    """Return the plan with a propeller that leaves after the fin is stripped."""
    made = plan(kind)
    made["send_outs"][1]["after"] = ["T2"]
    return made


SHIPPED = {"status": {"shipped": DAY}}
STAYS = "S2 (Propeller) may not leave the shop: T2 (Strip the fin) wants evidence (paint record);"


def test_an_item_does_not_leave_behind_an_open_check(lone_client: TestClient) -> None:
    """Not with other fields either, nor with a later date; passed over by name it leaves."""
    api = Api(lone_client, sending())
    before = api.plan_version
    problem = assert_problem(api.patch("/send-outs/S2", SHIPPED), 409, STAYS, "pass over it by")
    assert (problem["send_out"], problem["check"]) == ("S2", "T2")
    assert_problem(api.patch("/send-outs/S2", {**SHIPPED, "notes": "in a hurry"}), 409, STAYS)
    assert_problem(api.patch("/send-outs/S2", {"status": {"left_vendor": DAY}}), 409, STAYS)
    assert api.plan_version == before
    (open_check,) = api.read("/send-outs/S2")["board"]["open_checks"]
    assert (open_check["task"], open_check["version"]) == ("T2", 1)
    assert api.patch("/send-outs/S2", {"status": {"promised": "2026-03-02"}}).is_success
    assert sign(api, override="The camera was away.", by="Shop lead").is_success
    sent = api.patch("/send-outs/S2", SHIPPED, 2)
    assert sent.json()["send_out"]["open_checks"] == []
    assert api.read("/records")["passed_over"][0]["check"]["by"] == "Shop lead"
    assert_problem(undo(api, "sign_off", "SO1"), 409, "S2 (Propeller) has left the shop behind")


def test_undo_brings_no_item_past_a_check(lone_client: TestClient) -> None:
    api = Api(lone_client, sending("buy_off"))
    said = {"licence": "B1 123", "statement": "Seen."}
    key = sign(api, **said).json()["sign_off"]["key"]
    assert api.patch("/send-outs/S2", SHIPPED).is_success
    assert undo(api, "send_out", "S2").is_success
    assert undo(api, "sign_off", key).is_success
    assert_problem(undo(api, "send_out", "S2", "redo"), 409, "S2 (Propeller) may not leave")


DROP = {"status": {"state": "dropped"}}


def test_dropping_a_task_with_an_open_check_wants_a_name_and_a_reason(shop: Api) -> None:
    before = shop.plan_version
    refused = "T2 (Strip the fin) cannot be dropped: it wants evidence (paint record);"
    assert_problem(shop.patch("/tasks/T2", DROP), 409, refused, "by name and with a reason")
    assert_problem(shop.patch("/tasks/T2", {**DROP, "notes": "quick"}), 409, refused)
    assert shop.plan_version == before
    assert sign(shop, override="The fin is bought new.", by="Shop lead", **DROP).is_success
    assert shop.read("/tasks/T2")["task"]["status"]["state"] == "dropped"
    change = shop.read("/changes")["changes"][0]
    assert change["reason"] == "The fin is bought new."
    assert shop.patch("/tasks/T3", STARTED).is_success


def test_undo_is_no_way_to_drop_a_task(shop: Api) -> None:
    """Neither by bringing back that it was dropped, nor by taking back the reason for it."""
    key = sign(shop, override="Bought new.").json()["sign_off"]["key"]
    assert shop.patch("/tasks/T2", DROP).is_success
    rests_on_the_check(shop, key, "was dropped because its check was settled", "cannot be dropped")


def test_no_table_case_or_draft_drops_a_task_with_an_open_check(lone_client: TestClient) -> None:
    made = plan()
    made["cards"] = [{"id": "P", "name": "Mend", "driver": "patch", "steps": [
        {"number": 1, "name": "Sign", "hours": ["8"] * 3, "trade": "metal",
         "check": "buy_off"}]}]  # fmt: skip
    made["findings"] = [{"id": "F1", "seen": "Dent", "title": "Fin", "zone": "tail",
                         "card": "P", "treatment": "repair"}]  # fmt: skip
    api = Api(lone_client, made)
    rows = b"id,state\nT2,dropped\n"
    url, kind = f"{api.root}/imports/tasks/try", {"Content-Type": "text/csv"}
    trial = api.client.post(url, content=rows, headers=kind, params={"existing": "update"}).json()
    assert "T2 (Strip the fin) cannot be dropped" in trial["problems"][0]["sentence"]
    api.be("planner")
    case = {"name": "Bought", "changes": [{"kind": "task_dropped", "task": "T2"}]}
    body = {"case": case, "plan_version": api.plan_version}
    assert_problem(api.post("/cases/adopt", body), 409, "T2 (Strip the fin) cannot be dropped")
    assert api.post("/draft", {"plan_version": api.plan_version}).is_success
    assert api.patch("/findings/F1", {"dropped": True}).is_success
    taken = api.post("/draft", {"plan_version": api.plan_version})
    assert_problem(taken, 409, "F1.1 (Fin: sign) cannot be dropped: it wants the inspector's")


def test_that_a_check_can_refuse_is_described(shop: Api) -> None:
    paths = shop.client.get("/api/v1/openapi.json").json()["paths"]
    for asked in (
        "post /tasks", "patch /tasks/{task_id}", "patch /send-outs/{send_out_id}",
        "patch /evidence/{key}", "delete /evidence/{key}", "post /cases/adopt", "post /draft",
        "post /undo",
    ):  # fmt: skip
        method, path = asked.split()
        described = paths[f"/api/v1/projects/{{project_id}}{path}"][method]["responses"]
        assert "409" in described, asked


def test_a_hold_wants_evidence_or_a_reason_by_name(shop: Api) -> None:
    problem = assert_problem(sign(shop), 422, 'nothing is attached to "T2"')
    assert problem["field"] == "evidence"
    assert_problem(sign(shop, evidence=["E7"]), 422, 'no piece of evidence "E7"')
    assert_problem(sign(shop, by=" ", evidence=["E1"]), 422, "by: say who signs")
    assert_problem(sign(shop, override=" "), 422, "override: say why")
    done = sign(shop, evidence=["E1"]).json()
    assert done["task"]["check"]["state"] == "settled"
    assert done["task"]["state"] == "not_started"
    assert shop.patch("/tasks/T2", DONE).is_success
    assert shop.patch("/tasks/T3", STARTED).is_success


def test_a_reason_is_kept_and_listed(shop: Api) -> None:
    over = {"override": "The camera was away; drawn by hand.", "by": "Shop lead"}
    done = sign(shop, **over, **DONE)
    assert done.status_code == 201
    assert done.json()["task"]["state"] == "done"
    (line,) = shop.read("/sign-offs")["sign_offs"]
    assert (line["by"], line["override"]) == ("Shop lead", over["override"])
    assert (line["task"], line["name"], line["kind"]) == ("T2", "Strip the fin", "hold")
    (listed,) = shop.read("/records")["passed_over"]
    assert listed["check"]["reason"] == over["override"]
    change = shop.read("/changes")["changes"][0]
    assert change["reason"] == over["override"]
    assert shop.patch("/tasks/T3", STARTED).is_success


def test_a_buy_off_wants_a_name_a_licence_and_a_word(buying: Api) -> None:
    said = {"licence": "B1 123", "statement": "Seen before closing."}
    for lacking in said:
        refused = sign(buying, **{**said, lacking: ""})
        assert assert_problem(refused, 422)["field"] == lacking
    assert sign(buying, **said, **DONE).status_code == 201
    card = buying.read("/tasks/T2")
    assert card["check"]["state"] == "settled"
    assert (card["check"]["by"], card["check"]["on"]) == ("Inspector 1", DAY)
    assert card["sign_offs"][0]["licence"] == "B1 123"
    assert buying.read("/sign-offs")["signers"][0] == {"by": "Inspector 1", "licence": "B1 123"}


def test_a_witness_needs_no_licence(lone_client: TestClient) -> None:
    api = Api(lone_client, plan("witness"))
    assert_problem(sign(api), 422, "statement: say in a few words")
    assert sign(api, statement="No leak in 30 minutes.", **DONE).status_code == 201


def test_what_was_signed_is_opened_again_by_a_later_word(buying: Api) -> None:
    said = {"licence": "B1 123", "statement": "Seen.", **DONE}
    assert_problem(sign(buying, statement="?", reopens=True), 422, 'the check of "T2" is open')
    assert sign(buying, **said).status_code == 201
    assert_problem(sign(buying, 2, reopens=True), 422, "say why the check is open again")
    again = sign(buying, 2, statement="A crack since.", reopens=True)
    assert again.json()["task"]["check"]["state"] == "reopened"
    refused = buying.patch("/tasks/T3", STARTED)
    assert_problem(refused, 409, "T2 (Strip the fin) is open again and wants the inspector's")
    assert [one["task"]["id"] for one in buying.read("/today")["waiting_soon"]] == ["T3"]
    assert "T3" not in [one["id"] for one in buying.read("/today")["ready"]]
    assert [one["reopens"] for one in buying.read("/sign-offs")["sign_offs"]] == [True, False]
    (listed,) = buying.read("/records")["open_checks"]
    assert listed["check"]["reason"] == "A crack since."


def test_undo_takes_back_what_was_signed_with_what_was_recorded(buying: Api) -> None:
    said = {"licence": "B1 123", "statement": "Seen."}
    key = sign(buying, **said, **DONE).json()["sign_off"]["key"]
    assert undo(buying, "sign_off", key).is_success
    assert buying.read("/tasks/T2")["check"]["state"] == "open"
    assert buying.read("/tasks/T2")["task"]["status"]["state"] == "not_started"
    assert undo(buying, "sign_off", key, "redo").is_success
    assert buying.read("/tasks/T2")["check"]["state"] == "settled"
    assert undo(buying, "sign_off", key).is_success
    version = buying.read("/tasks/T2")["version"]
    again = sign(buying, version, **said).json()["sign_off"]["key"]
    assert again != key


def test_undo_is_no_way_round(buying: Api) -> None:
    """The signature alone is not taken back from under what was done, or begun, since."""
    said = {"licence": "B1 123", "statement": "Seen."}
    key = sign(buying, **said).json()["sign_off"]["key"]
    assert buying.patch("/tasks/T2", DONE).is_success
    rests_on_the_check(buying, key, "counts as done because its check was", "cannot count")


def test_signing_says_which_task_was_read(shop: Api) -> None:
    assert_problem(sign(shop, None, evidence=["E1"]), 428, "If-Match")
    assert shop.patch("/tasks/T2", {"notes": "two layers"}).is_success
    assert_problem(sign(shop, 1, evidence=["E1"]), 412, "notes")
    path = f"{shop.root}/tasks/T3/sign-off"
    headers = {"If-Match": '"1"'}
    refused = shop.client.post(path, json={"by": "x"}, headers=headers)
    assert_problem(refused, 422, '"T3" has no check to sign off')
    assert_problem(sign(shop, 2, evidence=["E1"], on="2026-02-03"), 422, "after the as-of date")


def test_the_owner_reads(shop: Api) -> None:
    shop.be("owner")
    assert_problem(sign(shop, evidence=["E1"]), 403, "The owner reads")
    assert_problem(shop.post("/records/us-entry/sign-off", {"by": "x"}), 403)
    assert shop.get("/records").is_success


def test_a_plan_that_comes_with_work_done_keeps_it_and_says_so(lone_client: TestClient) -> None:
    made = plan()
    made["tasks"][1] |= DONE
    api = Api(lone_client, made)
    assert [one["task"] for one in api.read("/records")["no_record"]] == ["T2"]
    assert api.patch("/tasks/T3", STARTED).is_success


def test_sign_offs_are_kept_on_each_database(client: TestClient) -> None:
    api = Api(client, plan("buy_off"))
    said = {"licence": "B1 123", "statement": "Seen."}
    assert sign(api, **said, **DONE).status_code == 201
    assert sign(api, 2, statement="A crack since.", reopens=True).status_code == 201
    file = api.read("/plan-file")
    assert [one.get("reopens", False) for one in file["sign_offs"]] == [False, True]
    other = Api(client, file)
    assert other.read("/sign-offs")["sign_offs"][0]["statement"] == "A crack since."


def test_the_rule_book_decides_what_is_listed(shop: Api) -> None:
    empty = shop.read("/records")
    assert (empty["rule_book"], empty["records"]) == ("", [])
    assert [one["id"] for one in empty["rule_books"]] == ["us", "eu", "national"]
    assert shop.patch("", {"rule_book": "eu"}, empty["project_version"]).is_success
    listed = [one["rule"] for one in shop.read("/records")["records"]]
    assert listed == ["ML.A.801", "ML.A.305", "Reg. (EU) 2018/1139 Annex I(a)"]


def test_a_record_is_what_somebody_says(shop: Api) -> None:
    assert shop.patch("", {"rule_book": "us"}).is_success
    path = "/records/us-entry/sign-off"
    said = {"by": "Inspector 1", "licence": "A 99", "statement": "Entered on page 12."}
    assert_problem(shop.post("/records/x/sign-off", said), 422, 'no record "x"')
    assert_problem(shop.post(path, {**said, "statement": ""}), 422, "statement: say in a few")
    assert_problem(shop.post(path, {**said, "by": ""}), 422, "by: say who signs")
    assert_problem(shop.post(path, {**said, "reopens": True}), 422, "nobody has settled")
    assert shop.post(path, said).status_code == 201
    line = next(one for one in shop.read("/records")["records"] if one["id"] == "us-entry")
    assert (line["is_stated"], line["by"], line["on"]) == (True, "Inspector 1", DAY)
    again = {"by": "Inspector 2", "statement": "The page is wrong.", "reopens": True}
    assert shop.post(path, again).status_code == 201
    line = next(one for one in shop.read("/records")["records"] if one["id"] == "us-entry")
    assert (line["is_stated"], line["by"]) == (False, "Inspector 2")


def test_what_is_open_is_listed_by_zone(shop: Api) -> None:
    groups = {one["title"]: one["items"] for one in shop.read("/records")["open_items"]}
    assert [one["id"] for one in groups["Work: Tail"]] == ["T2", "T3"]
    assert [one["id"] for one in groups["Work: Wing"]] == ["T4"]
    assert [one["id"] for one in groups["Items not accepted yet"]] == ["S1", "S2"]
    assert "Findings without a decision" not in groups


def test_the_draft_of_an_entry_holds_what_the_rule_asks_for(buying: Api) -> None:
    """14 CFR 43.9 as read in an excerpt: what, when, who; name, certificate, signature."""
    said = {"licence": "B1 123", "statement": "Seen."}
    assert sign(buying, **said, **DONE).is_success
    hours = {"id": "H1", "task": "T2", "on": DAY, "hours": "5", "label": "Metalworker 1"}
    assert buying.post("/hours", hours).is_success
    entry = buying.read("/work-entry")
    assert (entry["first"], entry["last"], entry["tasks"]) == ("2026-02-01", DAY, 1)
    lines = entry["text"].splitlines()
    assert lines == [
        "Two-seat trainer, serial 42",
        "Work done from 2026-02-01 to 2026-02-02:",
        (
            "- T2 Strip the fin: finished 2026-02-02, by Metalworker 1; signed off by Inspector 1 "
            "(B1 123) on 2026-02-02."
        ),
        "Completed on: 2026-02-02",
        "Approved by (name):",
        "Certificate (number and kind):",
        "Signature:",
    ]
    earlier = buying.read("/work-entry?first=2026-01-01&last=2026-01-31")
    assert (earlier["tasks"], "T1 Take the engine off" in earlier["text"]) == (1, True)
    refused = buying.get("/work-entry?first=2026-02-02&last=2026-02-01")
    assert_problem(refused, 422, "last: 2026-02-01 is before 2026-02-02")


def test_a_packing_list_says_what_goes_along_and_what_to_mind(lone_client: TestClient) -> None:
    made = plan()
    made["send_outs"][1] |= {"after": ["T2"], "kind": "tank", "customs_out_days": 3}
    api = Api(lone_client, made)
    listed = api.read("/send-outs/S2/packing-list")
    assert listed["goes_with_it"] == ["gas-free certificate", "baffle photo"]
    (open_check,) = listed["open_checks"]
    assert open_check["sentence"] == "T2 (Strip the fin) wants evidence (paint record)."
    assert sign(api, override="The camera was away.").is_success
    assert api.read("/send-outs/S2/packing-list")["open_checks"] == []
    assert set(listed["hazards"]) == {"fuel_vapour", "confined"}
    assert all("29 CFR" in one["source"] for one in listed["hazards"].values())
    assert "before it leaves" in listed["customs"]
    assert "(from memory" in listed["customs"]
    assert listed["insurance"].startswith("Insured at replacement value")
    assert listed["standing_line"].startswith("Usual cautions only.")
    assert api.read("/send-outs/S1/packing-list")["customs"] == ""
    assert_problem(api.get("/send-outs/S9/packing-list"), 404, '"S9"')


def test_sign_offs_are_taken_along_as_a_table(buying: Api) -> None:
    said = {"licence": "B1 123", "statement": "=1+1"}
    assert sign(buying, **said).is_success
    lines = buying.get("/exports/sign-offs.csv").content.decode("utf-8-sig").splitlines()
    assert lines[1] == ("SO1,2026-02-02,T2,,Strip the fin,buy_off,Inspector 1,B1 123,'=1+1,,no,")
