"""What an order comes to for the customer, by the shop's own price list."""

from collections.abc import Sequence

from remnants.estimating.quote import Quote, house_quantities, quote_house
from remnants.model.house_plan import CarpetPlan
from remnants.model.price_list import PriceList

__all__ = ["quote_order"]


def quote_order(parts: Sequence[CarpetPlan], prices: PriceList) -> Quote:
    """The quote for the floors of a house, laid as in its plans, one for each carpet."""
    return quote_house(house_quantities(parts), prices)
