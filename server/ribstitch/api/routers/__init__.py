"""One router a resource."""

from fastapi import APIRouter

from ribstitch.api.routers import changes, charts, projects, resources, service, what_if

ROUTERS: tuple[APIRouter, ...] = (
    service.router,
    projects.router,
    what_if.router,
    charts.router,
    *resources.ROUTERS,
    changes.router,
)
"""All routers, in the order of the description."""
