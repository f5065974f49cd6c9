"""Who takes part: all accounts for keepers, those of a project for its planner."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query
from starlette.responses import Response

from ribstitch.api.answers import json_response, no_content
from ribstitch.api.bodies import body_of, takes
from ribstitch.api.conditional import etag
from ribstitch.api.deps import Expected, ProjectId
from ribstitch.api.doors import DoorsDep
from ribstitch.api.identity import Keeper, Planner, SignedIn
from ribstitch.api.openapi import EDIT_REFUSALS, refusals
from ribstitch.api.problems import (
    CONFLICT,
    FORBIDDEN,
    INVALID,
    MALFORMED,
    NOT_FOUND,
    SIGN_IN,
    STALE,
    UNCONDITIONAL,
    UNSUPPORTED,
)
from ribstitch.api.schemas.accounts import (
    AccountChanges,
    AccountEdit,
    AccountLine,
    AccountLines,
    Invitation,
    InvitationAsked,
    LinkHanded,
    Member,
    MemberAsked,
    Members,
    NewPasswordLinkAsked,
    RoleAsked,
    account_document,
    handed_document,
    log_document,
    member_document,
)
from ribstitch.services.accounts.links import hand_new_password_link
from ribstitch.services.accounts.people import (
    Invited,
    change_account,
    change_role,
    everybody,
    invite,
    log_lines,
    members,
    remove_member,
)

router = APIRouter(
    tags=["Accounts"], responses=refusals(INVALID, SIGN_IN, FORBIDDEN, NOT_FOUND, CONFLICT)
)
_SENDING = refusals(MALFORMED, UNSUPPORTED)
Number = Annotated[int, Path(ge=1, le=2**31 - 1, description="The account's `id`")]


@router.get("/people", summary="All accounts", response_model=AccountLines)
def people(doors: DoorsDep, _known: Keeper) -> Response:
    """Return all accounts with their projects, the oldest first."""
    return json_response({"people": list(map(account_document, everybody(doors.store)))})


@router.post(
    "/people",
    summary="Invite somebody",
    status_code=201,
    response_model=Invitation,
    responses=_SENDING,
    openapi_extra=takes(
        InvitationAsked,
        the_lead={"email": "lead@hangar.example", "parts": [{"project": 1, "role": "lead"}]},
    ),
)
def invite_anybody(
    asked: Annotated[InvitationAsked, Depends(body_of(InvitationAsked))],
    doors: DoorsDep,
    known: Keeper,
) -> Response:
    """Let somebody take part in projects, or keep the server; the link is handed over by hand."""
    roles = {part.project: part.role for part in asked.parts}
    done = invite(
        doors.store, known, asked.email, asked.name, roles, doors.now(), as_keeper=asked.keeper
    )
    return _invited(done)


@router.patch(
    "/people/{account_id}",
    summary="Change somebody's account",
    response_model=AccountLine,
    responses=EDIT_REFUSALS,
    openapi_extra=takes(AccountEdit, a_keeper={"keeper": True}, closed={"closed": True}),
)
def edit(
    account_id: Number,
    asked: Annotated[AccountEdit, Depends(body_of(AccountEdit))],
    doors: DoorsDep,
    expected: Expected,
    known: Keeper,
) -> Response:
    """Make somebody a keeper or none, close an account or open it again; the last keeper stays."""
    line = change_account(
        doors.store, known, account_id, expected, doors.now(),
        is_keeper=asked.keeper, is_closed=asked.closed,
    )  # fmt: skip
    return json_response(account_document(line), ETag=etag(line.account.version))


@router.post(
    "/new-password-links",
    summary="Let somebody set a new password",
    status_code=201,
    response_model=LinkHanded,
    responses=_SENDING,
    openapi_extra=takes(NewPasswordLinkAsked, of_somebody={"account": 3}),
)
def hand_link(
    asked: Annotated[NewPasswordLinkAsked, Depends(body_of(NewPasswordLinkAsked))],
    doors: DoorsDep,
    known: SignedIn,
) -> Response:
    """Make a link to hand over, as a keeper, or as planner of all projects of that account."""
    handed = hand_new_password_link(doors.store, known, asked.account, doors.now())
    return json_response(handed_document(handed), status=201)


@router.get("/account-log", summary="What was done to accounts", response_model=AccountChanges)
def account_log(
    doors: DoorsDep,
    _known: Keeper,
    before: Annotated[
        int | None, Query(ge=1, le=2**31 - 1, description="Only older ones: `next_before`")
    ] = None,
    limit: Annotated[int, Query(ge=1, le=500, description="How many at most")] = 50,
) -> Response:
    """Return who did what to accounts and sign-ins, the newest first."""
    rows = log_lines(doors.store, before, limit + 1)
    page = list(map(log_document, rows[:limit]))
    more = len(rows) > limit
    return json_response({"lines": page, "next_before": page[-1]["number"] if more else None})


@router.get("/projects/{project_id}/people", summary="Who takes part", response_model=Members)
def project_people(project_id: ProjectId, doors: DoorsDep, _known: Planner) -> Response:
    """Return who is what in the project; keepers are planner in all."""
    found = members(doors.store, project_id)
    return json_response({"people": [member_document(*one) for one in found]})


@router.post(
    "/projects/{project_id}/people",
    summary="Invite somebody into a project",
    status_code=201,
    response_model=Invitation,
    responses=_SENDING,
    openapi_extra=takes(MemberAsked, the_owner={"email": "owner@hangar.example", "role": "owner"}),
)
def invite_member(
    project_id: ProjectId,
    asked: Annotated[MemberAsked, Depends(body_of(MemberAsked))],
    doors: DoorsDep,
    known: Planner,
) -> Response:
    """Let somebody take part; who has no account yet gets a link, which is handed over by hand."""
    roles = {project_id: asked.role}
    return _invited(invite(doors.store, known, asked.email, asked.name, roles, doors.now()))


@router.patch(
    "/projects/{project_id}/people/{account_id}",
    summary="Change somebody's role",
    response_model=Member,
    responses=EDIT_REFUSALS,
    openapi_extra=takes(RoleAsked, a_viewer={"role": "viewer"}),
)
def edit_member(
    project_id: ProjectId,
    account_id: Number,
    asked: Annotated[RoleAsked, Depends(body_of(RoleAsked))],
    doors: DoorsDep,
    expected: Expected,
    known: Planner,
) -> Response:
    """Change what somebody is in the project; it holds at once."""
    change_role(doors.store, known, project_id, account_id, asked.role, expected, doors.now())
    found = next(one for one in members(doors.store, project_id) if one[0].id == account_id)
    return json_response(member_document(*found), ETag=etag(found[1].version))


@router.delete(
    "/projects/{project_id}/people/{account_id}",
    summary="Take somebody out of a project",
    status_code=204,
    responses=refusals(MALFORMED, STALE, UNCONDITIONAL),
)
def take_out(
    project_id: ProjectId,
    account_id: Number,
    doors: DoorsDep,
    expected: Expected,
    known: Planner,
) -> Response:
    """Take somebody out; the account stays, and so does what they did."""
    remove_member(doors.store, known, project_id, account_id, expected, doors.now())
    return no_content()


def _invited(done: Invited) -> Response:
    content = {"account": done.account_id, "link": handed_document(done.link)}
    return json_response(content, status=201)
