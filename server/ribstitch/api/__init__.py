"""The HTTP service: routers that parse, call one service and shape the answer."""

from ribstitch.api.app import create_app
from ribstitch.api.homes import Homes
from ribstitch.api.logs import set_up_logging

__all__ = ["Homes", "create_app", "set_up_logging"]
