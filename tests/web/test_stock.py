"""Stock over time on its page: plots, the same figures in tables, lines for a spreadsheet."""

import csv
import io
import json
import re

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_stock
from remnants.ledger import Signed
from remnants_web.kept import Kept
from tests.web.conftest import Clock, House
from tests.web.test_bookings import shown


def lines(house: House, **asked: str) -> list[dict[str, str]]:
    answer = house.browser("Lou").get("/stock/stock.csv", query_string=asked)
    assert answer.mimetype == "text/csv" and "stock.csv" in answer.headers["Content-Disposition"]
    return list(csv.DictReader(io.StringIO(answer.text)))


def test_a_cut_shows_in_every_figure(house: House, clock: Clock) -> None:
    """40 x 14 in and an inch all round, 42 x 16 = 672 sq in, cut out of O-0007, come to 0.4335 m² or 4.7 sq ft saved."""
    clock.now = clock.now.replace(year=2031, month=5, day=20)
    wim, fields = shown(house)
    assert wim.post("/jobs/cut", data=fields).status_code == 303
    page = wim.get("/stock").text
    assert "4.7 ft²" in re.sub(r"\s+", " ", page.partition("What reuse has saved")[2])[:200] and "in 1 cuts" in page
    cut = [line for line in lines(house, style="Harrow Twist") if float(line["saved by reuse m2"])]
    assert [line["saved by reuse m2"] for line in cut] == ["0.4335"]
    gone = float(cut[0]["cut m2"])
    assert gone == -round(0.4335 + float(cut[0]["waste m2"]), 4)
    assert {line["style"] for line in lines(house, style="Harrow Twist")} == {"Harrow Twist"}


def test_money_is_told_where_a_price_is_given_and_faults_stand_at_their_field(house: House, clock: Clock) -> None:
    clock.now = clock.now.replace(year=2031, month=5, day=20)
    wim, fields = shown(house)
    wim.post("/jobs/cut", data=fields)
    priced = wim.get("/stock?amount=100&currency=eur&per=m2").text
    assert "43.35 EUR" in priced  # 0.4335 m² at 100
    wrong = wim.get("/stock?amount=ten&currency=EUR")
    assert wrong.status_code == 422 and 'href="#amount"' in wrong.text and 'value="ten"' in wrong.text
    assert 'href="#currency"' in wim.get("/stock?amount=10&currency=XXY").text


def test_each_plot_is_named_and_has_its_figures_in_a_table(house: House, clock: Clock) -> None:
    clock.now = clock.now.replace(year=2033, month=6, day=1)
    page = house.browser("Lou").get("/stock").text
    assert page.count('role="img"') == 5 and page.count('class="wide-table"') == 5 and "style=" not in page.partition("<main")[2]
    assert "2 years and over" in page and re.search(r'<th scope="row">2 years and over</th><td class="number">3</td>', page)


def test_hostile_style_names_are_texts(house: House, clock: Clock) -> None:
    name = '=1+1"><script>x</script>'
    stock = {"unit": "mm", "styles": [{"name": name, "construction": "loop"}],
             "pieces": [{"tag": "H-1", "kind": "remnant", "style": name, "width": 900, "length": 900, "pile": 0}]}  # fmt: skip
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        log_pieces(catalogue, read_stock(json.dumps(stock)), signed=Signed("Ana", clock.now))
    page = house.browser("Lou").get("/stock", query_string={"style": name})
    assert page.status_code == 200 and "<script>x" not in page.text
    assert f"'{name}" in {line["style"] for line in lines(house)}


def test_only_those_who_may_look_see_it_and_an_empty_shop_says_so(house: House) -> None:
    assert house.browser().get("/stock").status_code in (303, 401)
    assert house.browser("Lou").get("/stock?style=none+such").status_code == 200
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        catalogue.execute("DELETE FROM store_change")
    house.app.extensions["stock"] = Kept(1)
    assert "Nothing was ever in store" in house.browser("Lou").get("/stock").text
