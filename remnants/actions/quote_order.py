"""What an order comes to for the customer, by the shop's own price list."""

from remnants.estimating import Floors, OrderPlan
from remnants.estimating.quote import Quote, quantities, quote
from remnants.model.price_list import PriceList

__all__ = ["quote_order"]


def quote_order(plan: OrderPlan, asked: Floors, prices: PriceList) -> Quote:
    """The quote for the floors asked, laid as in the plan."""
    return quote(quantities(plan, asked), prices)
