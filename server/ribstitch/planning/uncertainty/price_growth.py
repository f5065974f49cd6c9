"""How far prices may grow until the vendors have looked inside, with its chances.

The price of a send-out after teardown is the first price times a ratio whose logarithm
follows Student's t (`VendorRecord`), cut off above. Once the teardown quote is in, the price
stands: what is found later is a risk, or an over-and-above item.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import exp, fsum

from ribstitch.planning.model import SendOut
from ribstitch.planning.prepared import Prepared
from ribstitch.planning.uncertainty.normal_gamma import NormalInverseGamma
from ribstitch.planning.uncertainty.shapes import Floats, ratio_table
from ribstitch.planning.uncertainty.streams import Streams
from ribstitch.planning.uncertainty.vendor_record import PRICED_AFTER_A_LOOK, VendorRecord

MOST_GROWN = 3.0
"""No price grows to more than so many times the first: by then another way is found."""


@dataclass(frozen=True, slots=True)
class PriceGrowth:
    """Final over first price of one send-out, and what is known of the vendor."""

    send_out: str
    vendor: str
    posterior: NormalInverseGamma
    """Of the logarithm."""
    jobs: int
    """Finished jobs of this vendor that this rests on."""
    kind_jobs: int
    """Finished jobs of this kind by other vendors that this rests on."""

    @property
    def median(self) -> float:
        """What half of all such prices stay within, as a multiple of the first."""
        return exp(self.posterior.mean)

    @property
    def table(self) -> Floats:
        """Equally likely ratios, ascending, shape (POINTS,)."""
        return ratio_table(self.posterior, MOST_GROWN)

    @property
    def mean(self) -> Fraction:
        """The mean of the table, summed without loss: what courses draw on average."""
        table = self.table
        return Fraction(fsum(table)) / table.size


def price_growths(prepared: Prepared) -> Mapping[str, PriceGrowth]:
    """Return, by send-out, how far the prices that are still open may grow."""
    record = VendorRecord.of(prepared)
    found = {}
    for item in prepared.plan.send_outs:
        if is_price_open(item):
            learned = record.growth(item.vendor, item.kind)
            found[item.id] = PriceGrowth(
                item.id, item.vendor, learned.posterior, learned.jobs, learned.kind_jobs
            )
    return found


def is_price_open(item: SendOut) -> bool:
    """
    Return whether the vendor may still raise the price of an item.

    Where intake and teardown are planned, until the quote that follows is in, or any later
    date of the item. A further trip makes good what was delivered, at the price that stands.
    """
    status = item.status
    later = (
        status.quoted, status.approved, status.left_vendor, status.received,
        status.accepted, status.rejected,
    )  # fmt: skip
    is_looked_into = item.source in PRICED_AFTER_A_LOOK and item.intake > 0
    return is_looked_into and item.trip_of is None and not item.dropped and not any(later)


def drawn_ratios(growth: PriceGrowth, streams: Streams) -> Floats:
    """
    Draw final over first price in each run, shape (runs,).

    The prices of one vendor are related: whoever estimates low once does so again.
    """
    indices = streams.related_indices(
        f"{growth.send_out}/price", f"price/{growth.vendor}", growth.posterior.likeness
    )
    return growth.table.take(indices)
