"""Tables to take along: comma-separated values, or a workbook."""

from collections.abc import Mapping

from ribstitch.services.exports.away_tables import SEND_OUTS, VENDORS
from ribstitch.services.exports.evaluation_tables import FINDINGS, ORIGINALITY
from ribstitch.services.exports.money_tables import COSTS, HOURS, PAYMENTS
from ribstitch.services.exports.sign_off_tables import SIGN_OFFS
from ribstitch.services.exports.table import Export
from ribstitch.services.exports.work_tables import CREW, LINKS, TASKS

__all__ = ["EXPORTS", "Export"]

EXPORTS: Mapping[str, Export] = {
    one.name: one
    for one in (
        TASKS, LINKS, SEND_OUTS, VENDORS, CREW, COSTS, PAYMENTS, HOURS, FINDINGS, ORIGINALITY,
        SIGN_OFFS,
    )
}  # fmt: skip
"""By the name in the address."""
