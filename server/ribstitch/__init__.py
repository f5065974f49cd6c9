"""Ribstitch: plans the restoration of a vintage aircraft and forecasts its finish."""

__version__ = "0.1.0"
