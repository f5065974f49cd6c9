"""One router a resource."""

from fastapi import APIRouter

from ribstitch.api.routers import service

ROUTERS: tuple[APIRouter, ...] = (service.router,)
"""All routers, in the order of the description."""
