"""The page of what stock cost and is worth: the command's figures, for managers alone."""

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.model.money import Money
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.web.conftest import House


def test_managers_see_what_stock_cost_and_is_worth_and_nobody_else_does(house: House) -> None:
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        large = a_piece("R-91", 100, 100, cost=Money(12050, "EUR"), supplier="Invented <Mill>")
        small = a_piece("R-92", 5, 60, cost=Money(950, "EUR"))
        log_pieces(catalogue, a_stock(large, small), signed=SIGNED)
    page = house.browser("Maud").get("/worth").text
    assert "120.50 EUR" in page and "130.00 EUR" in page
    assert "Invented &lt;Mill&gt;" in page and "By supplier" in page
    assert 'href="/worth"' in house.browser("Maud").get("/stock").text
    for name in ("Wim", "Lou"):
        assert house.browser(name).get("/worth").status_code == 403
        assert "/worth" not in house.browser(name).get("/stock").text
