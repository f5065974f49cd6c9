"""One router a resource."""

from fastapi import APIRouter

from ribstitch.api.routers import (
    changes,
    charts,
    draft,
    evaluation,
    events,
    evidence,
    exports,
    imports,
    levelling,
    method_cards,
    money,
    new_project,
    projects,
    pulling_in,
    resources,
    send_outs,
    service,
    sign_offs,
    simulation,
    tasks,
    views,
    what_if,
)

ROUTERS: tuple[APIRouter, ...] = (
    service.router,
    projects.router,
    new_project.router,
    views.router,
    evaluation.router,
    method_cards.router,
    draft.router,
    sign_offs.router,
    tasks.router,
    send_outs.router,
    simulation.router,
    what_if.router,
    levelling.router,
    pulling_in.router,
    money.router,
    evidence.router,
    exports.router,
    imports.router,
    charts.router,
    *resources.ROUTERS,
    changes.router,
    events.router,
)
"""All routers, in the order of the description."""
