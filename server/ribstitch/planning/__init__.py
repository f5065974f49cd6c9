"""The pure planning core: calendars, network, schedule, grace, what-if cases."""

from ribstitch.planning.errors import PlanError
from ribstitch.planning.grace import (
    LateCurve,
    SendOutGrace,
    VendorGrace,
    late_curve,
    send_out_grace,
    vendor_grace,
)
from ribstitch.planning.model import Plan
from ribstitch.planning.schedule import Schedule, schedule
from ribstitch.planning.whatif import Case, Change, apply_changes

__all__ = [
    "Case",
    "Change",
    "LateCurve",
    "Plan",
    "PlanError",
    "Schedule",
    "SendOutGrace",
    "VendorGrace",
    "apply_changes",
    "late_curve",
    "schedule",
    "send_out_grace",
    "vendor_grace",
]
