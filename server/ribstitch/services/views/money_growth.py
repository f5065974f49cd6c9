"""How much of what is still to come is for prices that vendors may still raise."""

from __future__ import annotations

from ribstitch.charts.paper import plural
from ribstitch.money.entries import Origin
from ribstitch.services.forecast import CurrentPlan
from ribstitch.services.views.lookups import send_outs
from ribstitch.services.views.money_shape import PriceGrowth
from ribstitch.services.views.money_sums import ledger
from ribstitch.services.views.money_words import shown_units, text


def price_growth(current: CurrentPlan) -> PriceGrowth | None:
    """Return what prices may grow by, and whose it mostly is; None where none may."""
    book = ledger(current)
    by_item: dict[str, int] = {}
    for one in book.entries:
        if one.origin is Origin.GROWTH and one.send_out is not None:
            by_item[one.send_out] = by_item.get(one.send_out, 0) + one.worth
    if not by_item:
        return None
    units = sum(by_item.values())
    dearest = max(by_item, key=lambda name: (by_item[name], name))
    name, amount = send_outs(current)[dearest].name or dearest, shown_units(units, book.currency)
    sentence = (
        f'{amount} of what is still to come is for the price of "{name}", which may change once '
        "the vendor has looked inside."
    )
    if len(by_item) > 1:
        prices = plural(len(by_item), "price")
        sentence = (
            f"{amount} of what is still to come is for {prices} that may change once the vendors "
            f'have looked inside, "{name}" above all.'
        )
    return PriceGrowth(text(units, book.currency), sentence)
