"""What the stock cost and what it is worth today, for managers alone."""

from flask import Blueprint, render_template

from remnants.actions.stock_worth import stock_worth
from remnants.model import Role
from remnants.report.worth_text import TOLD_AS, sums_words, unshared_words, worth_table
from remnants_web.access import needs
from remnants_web.shop import catalogue, settings
from remnants_web.tables import page_tables
from remnants_web.words import reader_unit

__all__ = ["area"]

area = Blueprint("worth", __name__, url_prefix="/worth")


@area.get("")
@needs(Role.MANAGE)
def show() -> str:
    """The sums of all, and a table by each."""
    found, unit = stock_worth(catalogue(), today=settings().now().date()), reader_unit()
    rows = {
        by: [(each.name, each.pieces, each.area_mm2, each.untold, each.cost, each.worth) for each in lines]
        for by, lines in found.lines.items()
    }
    tables = [(by.value, page_tables((worth_table(told, by.value, unit),))) for by, told in rows.items()]
    return render_template(
        "worth.html",
        total=found.all,
        cost=sums_words(found.all.cost),
        worth=sums_words(found.all.worth),
        tables=[(by, made[0]) for by, made in tables if made],
        told_as=TOLD_AS,
        keep=found.keep.words(unit),
        unshared=unshared_words(found.unshared.tags, found.unshared.cost),
    )
