"""The OpenAPI description: FastAPI's own, completed by bodies, refusals and an order."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from ribstitch import __version__
from ribstitch.api.patches import Patch
from ribstitch.api.problems import (
    CROSS_SITE,
    FORBIDDEN,
    INVALID,
    MALFORMED,
    MEDIA_TYPE,
    MISDIRECTED,
    NOT_FOUND,
    SIGN_IN,
    STALE,
    TOO_LARGE,
    TOO_MANY,
    UNCONDITIONAL,
    UNSUPPORTED,
    Problem,
)
from ribstitch.api.schemas.accounts import BODIES as ACCOUNT_BODIES
from ribstitch.api.schemas.base import ProblemDetails
from ribstitch.api.schemas.bodies import (
    CaseAdopted,
    CasesAsked,
    ContactNote,
    PullingInAsked,
    Rejection,
    SessionChoice,
    UndoAsked,
)
from ribstitch.api.schemas.draft import DraftAsked
from ribstitch.api.schemas.levelling import LevellingAdopted, LevellingAsked, OneMoreAsked
from ribstitch.api.schemas.money import BaselineAsked, DecisionAsked
from ribstitch.api.schemas.new_project import NewProjectTold
from ribstitch.api.schemas.sign_offs import RecordSignOffAsked, SignOffAsked
from ribstitch.api.schemas.work import TaskPlanAsked
from ribstitch.planfile.document import LinkDocument, PlanDocument, TaskDocument

DESCRIPTION = """
Ribstitch plans the restoration of a vintage aircraft and says when it will be finished.

**Reading.** Lists and views carry an `ETag`: send it back as `If-None-Match` and get `304`
while nothing has changed. Everything of a project is calculated once for each change.

**How sure a date is** comes from a simulation that runs in the background and is begun by
itself; nothing waits for it. Until it is ready, such values are `null`, and the answer
carries no `ETag`: ask again.

**Editing.** A thing carries its `version`, also as its `ETag`. Send the version that was read
as `If-Match`; without it an edit is refused (`428`), and so is an edit of something that
somebody changed in the meantime (`412`, with what was changed). An edit is a JSON merge
patch (RFC 7396) of the thing as it stands in a plan file. The plan is calculated before
an edit is stored; an edit that makes no sense changes nothing.

**Sending again.** Whoever gets no answer cannot know whether the request arrived. Give a request
that changes something an `Idempotency-Key` of its own (8 to 64 letters, digits, hyphens or
underscores) and send the same one again: it is done once, and the answer is the same for 30
days (where the service went down between the change and its answer, only `{"done_before":
true}`). The same key with another request is refused (`422`, `key-used`). A refusal is not kept.

**Following.** `GET /projects/{p}/events` sends every change as it is made.

**Who may what.** Where people sign in, a browser has a cookie, and a script sends
`Authorization: Bearer` with a token of its account; a calendar that is subscribed to has a token
for that alone in its address (`calendar.ics?token=...`). Who is not known is refused (`401`), who
may not, too (`403`); a project in which one has no part is not there (`404`). What changes
something and comes with the cookie has to come from the service's own pages.

**Refusals** all have one shape, problem details (RFC 9457): `type`, `title`, `status`,
`detail` (one sentence that names field and value), `instance`, and for some kinds more.

**Dates** are ISO 8601 (2026-10-09), instants are in UTC, durations in working days of the
thing's own calendar, money in decimal strings with a currency.
"""

TAGS = [
    {"name": "Service", "description": "Whether it runs, and who is asking."},
    {"name": "Accounts", "description": "Signing in, one's own account, and who takes part."},
    {"name": "Projects", "description": "The aircraft in restoration."},
    {"name": "Views", "description": "What the pages show, computed from the plan."},
    {"name": "Tasks", "description": "The work in the shop, and the links between tasks."},
    {"name": "Send-outs", "description": "Items at vendors."},
    {"name": "Simulation", "description": "How sure the dates are, computed in the background."},
    {"name": "Crew", "description": "An order that people and places can keep."},
    {"name": "What-if", "description": "Cases beside the plan; nothing is stored."},
    {"name": "Money", "description": "What it costs, what was approved, when money is needed."},
    {"name": "Evaluation", "description": "The plan that findings and method cards ask for."},
    {"name": "Drawings", "description": "The shop's own drawings, with zones traced on them."},
    {"name": "Evidence", "description": "Photos and documents, kept beside the database."},
    {"name": "Records", "description": "Checks, sign-offs, and what is to settle before flight."},
    {"name": "Exports", "description": "Tables to open elsewhere, and dates for other calendars."},
    {"name": "Imports", "description": "Tables of a shop's own, taken in after a trial."},
    {"name": "Charts", "description": "Figures as Plotly JSON."},
    {"name": "Resources", "description": "Calendars, vendors, crew, zones, risks and the like."},
    {"name": "Change log", "description": "Who changed what, and taking it back."},
]


BODIES: tuple[type[BaseModel], ...] = (
    PlanDocument, TaskDocument, LinkDocument, Patch, ContactNote, Rejection, CasesAsked,
    CaseAdopted, PullingInAsked, LevellingAsked, LevellingAdopted, OneMoreAsked, UndoAsked,
    SessionChoice, DraftAsked, BaselineAsked, DecisionAsked, SignOffAsked, RecordSignOffAsked,
    NewProjectTold, TaskPlanAsked, ProblemDetails, *ACCOUNT_BODIES,
)  # fmt: skip
"""The models that bodies and refusals refer to by name."""


def refusals(*problems: Problem) -> dict[int | str, dict[str, Any]]:
    """Describe the refusals of an endpoint: ``responses=refusals(NOT_FOUND, STALE)``."""
    schema = {"$ref": "#/components/schemas/ProblemDetails"}
    return {
        problem.status: {
            "description": f"{problem.title}. {problem.advice}",
            "content": {MEDIA_TYPE: {"schema": schema}},
        }
        for problem in problems
    }


EDIT_REFUSALS = refusals(
    MALFORMED, FORBIDDEN, NOT_FOUND, STALE, TOO_LARGE, UNSUPPORTED, INVALID, UNCONDITIONAL
)
"""What every edit of a thing can be refused with."""


ADD_REFUSALS = refusals(MALFORMED, FORBIDDEN, TOO_LARGE, UNSUPPORTED)
"""What adding a thing can be refused with, besides what all of its router can be."""


PUBLIC = {f"/api/v1/{path}" for path in ("health", "ready", "metrics", "session", "problems",
                                         "problems/{name}")}  # fmt: skip
"""What nobody has to sign in for."""


def _refused_anywhere(method: str, *, is_public: bool) -> dict[str, dict[str, Any]]:
    """Return what a request can be refused with before its endpoint is asked."""
    found = [MISDIRECTED] if is_public else [MISDIRECTED, SIGN_IN, FORBIDDEN]
    if method != "get":
        found += [CROSS_SITE, TOO_MANY]
    return {str(status): told for status, told in refusals(*found).items()}


def install(app: FastAPI) -> None:
    """Give an application its description."""

    def description() -> dict[str, Any]:
        if app.openapi_schema is None:
            app.openapi_schema = _describe(app)
        return app.openapi_schema

    app.openapi = description  # type: ignore[method-assign]


def _describe(app: FastAPI) -> dict[str, Any]:
    """Build the description."""
    schema = get_openapi(
        title="Ribstitch",
        version=__version__,
        description=DESCRIPTION.strip(),
        tags=TAGS,
        license_info={"name": "MIT", "identifier": "MIT"},
        routes=app.routes,
    )
    for path, operations in schema["paths"].items():
        for method, operation in operations.items():
            anywhere = _refused_anywhere(method, is_public=path in PUBLIC)
            operation["responses"] = {**anywhere, **operation["responses"]}
    _, bodies = models_json_schema(
        [(kind, "validation") for kind in BODIES], ref_template="#/components/schemas/{model}"
    )
    schema.setdefault("components", {}).setdefault("schemas", {}).update(bodies["$defs"])
    return schema
