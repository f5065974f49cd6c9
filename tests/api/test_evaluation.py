"""The evaluation and the originality ledger; findings, cards and standing jobs are edited."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.api.asking import Api, assert_problem
from tests.support.evaluated import card, evaluated_plan


@pytest.fixture
def walked(lone_client: TestClient) -> Api:
    """Return the service with an evaluated plan as its only project."""
    return Api(lone_client, evaluated_plan())


@pytest.fixture
def stored(client: TestClient) -> Api:
    """Return the same on both databases."""
    return Api(client, evaluated_plan())


def by_id(lines: list[dict[str, Any]], name: str = "id") -> dict[str, dict[str, Any]]:
    """Return lines by one of their fields."""
    return {line[name]: line for line in lines}


def test_evaluation_counts_what_stands_and_leaves_out_what_is_withdrawn(walked: Api) -> None:
    """The figures are counted by hand from the plan."""
    seen = walked.read("/evaluation")
    assert seen["by_grade"] == [1, 1, 0, 1, 1, 0]
    assert seen["by_treatment"] == {"restore": 1, "reproduce": 1, "keep": 1}
    assert seen["undecided"] == 1
    assert seen["not_planned"] == 1
    assert [line["key"] for line in seen["findings"]] == ["F1", "F2", "F3", "F4", "F5"]
    zones = by_id(seen["zones"])
    bow, tail, wing = zones["bow"], zones["tail"], zones["lwing"]
    assert (bow["findings"], bow["decided"], bow["by_grade"]) == (2, 1, [1, 0, 0, 1, 0, 0])
    assert (bow["bays"], bow["is_open"], bow["chapters"]) == ("2", True, ["53", "12"])
    assert (tail["bays"], tail["is_open"], tail["chapters"]) == (None, False, ["27", "55"])
    assert (wing["findings"], wing["is_open"], wing["chapters"]) == (0, None, ["57", "27"])


def test_evaluation_tells_what_came_of_each_finding(walked: Api) -> None:
    lines = by_id(walked.read("/evaluation")["findings"], "key")
    told = {key: (one["tasks"], one["begun"], one["done"]) for key, one in lines.items()}
    assert told["F1"] == (2, 0, 1)
    assert told["F3"] == (0, 0, 0)
    assert lines["F2"]["evidence"] == 2
    assert lines["F1"]["version"] == 1
    assert lines["F4"]["finding"] == {
        "id": "F4",
        "seen": "Log books complete",
        "grade": 1,
        "treatment": "keep",
        "authenticity": "original",
    }
    begun = {"status": {"state": "in_work", "started": "2026-10-05"}}
    assert walked.patch("/tasks/T2", begun).status_code == 200
    first = by_id(walked.read("/evaluation")["findings"], "key")["F1"]
    assert (first["tasks"], first["begun"], first["done"]) == (2, 1, 1)


def test_evaluation_offers_the_words_of_the_trade_and_of_the_shop(walked: Api) -> None:
    seen = walked.read("/evaluation")
    assert [one["name"] for one in seen["grades"]] == [
        "not seen", "sound", "worn", "repairable", "beyond limits", "missing or wrong",
    ]  # fmt: skip
    treatments = walked.client.get("/api/v1/openapi.json").json()["components"]["schemas"]
    assert [one["treatment"] for one in seen["treatments"]] == treatments["Treatment"]["enum"]
    assert by_id(seen["cards"])["M15"]["driver"] == "mod"
    assert by_id(seen["kinds"])["casting"]["name"] == "Castings"
    assert seen["trades"] == ["metal"]
    assert seen["people"] == ["Lead 1", "Lead 2", "Owner 1"]
    assert "licensed people decide" in seen["standing_line"]


def test_evaluation_says_with_which_cards_something_leaves_the_shop(walked: Api) -> None:
    assert not by_id(walked.read("/evaluation")["cards"])["M15"]["leaves"]
    assert walked.patch("/cards/M15", {"leaves_after": 1}).status_code == 200
    assert by_id(walked.read("/evaluation")["cards"])["M15"]["leaves"]


@pytest.mark.parametrize("path", ["/evaluation", "/originality"])
def test_same_answer_is_not_sent_again_until_the_plan_changes(walked: Api, path: str) -> None:
    tag = {"If-None-Match": walked.get(path).headers["etag"]}
    assert walked.get(path, headers=tag).status_code == 304
    assert walked.patch("/findings/F2", {"treatment": "repair"}).status_code == 200
    assert walked.get(path, headers=tag).status_code == 200


def test_ledger_tells_what_stays_what_is_made_anew_and_what_it_lacks(walked: Api) -> None:
    """F1 has no evidence of form and its old cloth no label; F3's old part is kept nowhere."""
    ledger = walked.read("/originality")
    assert ledger["restored_to"] == "1947"
    assert ledger["by_outcome"] == {"removed": 1, "undecided": 1, "reproduced": 1, "kept": 1}
    assert [zone["name"] for zone in ledger["zones"]] == ["Bow", "Tail", "No zone"]
    lines = by_id([line for zone in ledger["zones"] for line in zone["lines"]], "finding")
    assert set(lines) == {"F1", "F2", "F3", "F4"}
    assert lines["F1"]["open_points"] == [
        "After what evidence?",
        "Kept without a label.",
    ]
    assert lines["F2"]["open_points"] == ["Not decided yet."]
    assert lines["F3"]["open_points"] == ["Where is the old part?"]
    assert (lines["F3"]["title"], lines["F3"]["rung"]) == ("Water rudder", "trace")
    assert lines["F4"]["open_points"] == ["Who decided?"]
    assert ledger["open_points"] == 5
    settled = {"rung": "factory_photo", "labelled": True}
    assert walked.patch("/findings/F1", settled).status_code == 200
    assert walked.read("/originality")["open_points"] == 3


NEW = [
    (
        "findings",
        "finding",
        {"id": "F6", "seen": "Lens missing; 4 mm crack", "zone": "bow", "grade": 5},
        {"treatment": "repair", "card": "M06", "quantity": "2.5", "decided_on": "2026-10-05"},
    ),
    ("cards", "method_card", card("X1", "Mend a fairing", "fairing"), {"retired": True}),
    (
        "standing-jobs",
        "standing_job",
        {"id": "J2", "card": "M05", "zone": "tail"},
        {"quantity": "2"},
    ),
]


@pytest.mark.parametrize(("path", "kind", "new", "edit"), NEW)
def test_thing_is_added_edited_taken_out_and_brought_back(
    stored: Api, path: str, kind: str, new: dict[str, Any], edit: dict[str, Any]
) -> None:
    before = stored.read("/plan-file")
    added = stored.post(f"/{path}", new)
    assert added.status_code == 201, added.text
    line = added.json()[kind]
    assert line["key"] == new["id"]
    edited = stored.patch(f"/{path}/{line['key']}", edit, line["version"]).json()[kind]
    assert edit.items() <= edited.items()
    assert stored.read(f"/{path}")[path.replace("-", "_")][-1] == edited
    assert stored.delete(f"/{path}/{line['key']}", edited["version"]).status_code == 200
    assert stored.read("/plan-file") == before
    assert stored.post("/undo", {"kind": kind, "key": line["key"]}).status_code == 200
    assert edit.items() <= stored.read(f"/{path}/{line['key']}").items()


@pytest.mark.parametrize(
    ("path", "body", "parts"),
    [
        ("/findings", {"id": "F1", "seen": "Again"}, ("id", '"F1" is used twice')),
        ("/findings", {"id": "F9"}, ("seen",)),
        ("/findings", {"id": "F9", "seen": "x", "grade": 6}, ("grade", "6")),
        ("/findings", {"id": "F9", "seen": "x", "zone": "nose"}, ("zone", '"nose"')),
        ("/findings", {"id": "F9", "seen": "x", "card": "M99"}, ("card", '"M99"')),
        ("/findings", {"id": "F9", "seen": "x", "quantity": "0"}, ("quantity", "0")),
        ("/findings", {"id": "F9", "seen": "x", "treatment": "polish"}, ("treatment", "polish")),
        ("/findings", {"id": "F9", "seen": "x", "seen_on": "2026-10-06"}, ("seen_on", "F9")),
        ("/findings", {"id": "F9", "seen": "x", "own_hours": ["1", "2", "3"]}, ("own_trade",)),
        ("/standing-jobs", {"id": "J9", "card": "M99"}, ("card", '"M99"')),
    ],
)
def test_new_thing_that_makes_no_sense_is_refused_and_nothing_is_stored(
    walked: Api, path: str, body: dict[str, Any], parts: tuple[str, ...]
) -> None:
    before = walked.read("/plan-file")
    assert_problem(walked.post(path, body), 422, *parts)
    assert walked.read("/plan-file") == before


def test_second_tablet_is_told_what_the_first_one_wrote(walked: Api) -> None:
    assert walked.patch("/findings/F2", {"grade": 3}).status_code == 200
    problem = assert_problem(walked.patch("/findings/F2", {"notes": "twice"}, 1), 412)
    assert problem["changes_since"][0]["fields"] == ["grade"]
    assert walked.read("/findings/F2")["notes"] == ""


def test_owner_reads_the_evaluation_and_writes_nothing(walked: Api) -> None:
    walked.be("owner")
    assert walked.get("/evaluation").status_code == 200
    assert walked.post("/findings", {"id": "F9", "seen": "x"}).status_code == 403
    assert walked.patch("/findings/F2", {"grade": 3}).status_code == 403
    assert walked.delete("/findings/F2", 1).status_code == 403


def test_tables_of_the_evaluation_can_be_taken_along(walked: Api) -> None:
    """Five findings and the withdrawn one among them; four lines in the ledger."""
    findings = walked.get("/exports/findings.csv").content.decode("utf-8-sig").splitlines()
    assert len(findings) == 1 + 5
    assert findings[3].startswith(
        "F3,tail,Tail,27,Water rudder,Water rudder missing,4,unknown,trace"
    )
    assert findings[5].endswith(",yes")
    ledger = walked.get("/exports/originality.csv").content.decode("utf-8-sig").splitlines()
    assert len(ledger) == 1 + 4
    assert "F1,Glass cloth over the bow plating,later_change,removed,restore" in ledger[1]
    assert ledger[1].endswith("1947,After what evidence? Kept without a label.")
    assert walked.get("/exports/originality.xlsx").status_code == 200
