"""The HTTP service: routers that parse, call one service and shape the answer."""

from ribstitch.api.app import create_app

__all__ = ["create_app"]
