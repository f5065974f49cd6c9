"""What-if cases: changes held beside the plan, compared with it."""

from ribstitch.planning.whatif.applying import Case, apply_changes
from ribstitch.planning.whatif.changes import (
    BoughtAsExchange,
    Change,
    ExpediteTaken,
    ExtraDays,
    OneMoreHand,
    RiskSettled,
    SendOutLate,
    TaskDropped,
    TaskNotBefore,
    TaskTakes,
    TradeAway,
    TradeDays,
    TradeSlower,
    VendorLate,
    VendorSwapped,
    WaitDropped,
    ZoneSlower,
)

__all__ = [
    "BoughtAsExchange",
    "Case",
    "Change",
    "ExpediteTaken",
    "ExtraDays",
    "OneMoreHand",
    "RiskSettled",
    "SendOutLate",
    "TaskDropped",
    "TaskNotBefore",
    "TaskTakes",
    "TradeAway",
    "TradeDays",
    "TradeSlower",
    "VendorLate",
    "VendorSwapped",
    "WaitDropped",
    "ZoneSlower",
    "apply_changes",
]
