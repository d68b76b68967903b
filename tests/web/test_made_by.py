"""A form says who made it, and nobody else signs it."""

from remnants.actions import open_catalogue
from remnants.actions.show_piece import history_of
from tests.web.conftest import House


def move(made_by: str) -> dict[str, str]:
    return {"place": "Bay 9", "key": "a-move", "made_by": made_by}


def acts(house: House) -> list[str]:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return [f"{entry.act} by {entry.signed.who}" for entry in history_of(catalogue, "R-0001").entries[1:]]


def test_what_one_made_is_refused_from_another_and_taken_from_its_maker(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    told = maud.post("/pieces/R-0001/move", data=move("Wim"), headers={"Accept": "application/json"})
    assert told.status_code == 409 and told.get_json()["type"] == "/problems/made-by-another"
    said = "Wim made this and you are signed in as Maud, so nothing was done; Wim signs in here to send it"
    assert told.get_json()["detail"] == said
    assert said in maud.post("/pieces/R-0001/move", data=move("Wim")).text
    assert acts(house) == []
    assert wim.post("/pieces/R-0001/move", data=move("wim")).status_code == 303
    assert acts(house) == ["moved by Wim"]


def test_it_is_refused_in_a_form_with_a_photograph_too(house: House) -> None:
    sent = house.browser("Maud").post("/log", data={"style": "Velder Loop", "made_by": "Wim"}, content_type="multipart/form-data")
    assert sent.status_code == 409


def test_every_form_that_may_wait_says_who_made_it(house: House) -> None:
    wim = house.browser("Wim")
    for path in ("/log", "/pieces/R-0001", "/patch/answer?style=Velder+Loop&width=10&length=9&pile=0&job=Millrace+5"):
        page = wim.get(path).text
        assert page.count('name="made_by" value="Wim"') >= page.count("data-queue") > 0, path


def test_signing_out_clears_the_device_but_for_what_waits_there(house: House) -> None:
    assert house.browser("Wim").post("/sign-out").headers["Clear-Site-Data"] == '"cache", "storage"'
    assert house.browser("Wim").post("/sign-out", data={"waits": "yes"}).headers["Clear-Site-Data"] == '"cache"'


def test_a_seal_is_ones_own_and_the_same_on_every_device(house: House) -> None:
    def seal(name: str) -> str:
        return house.browser(name).get("/find").text.partition('data-seal="')[2].partition('"')[0]

    assert len(seal("Wim")) == 44 and seal("Wim") == seal("Wim") != seal("Maud")
    assert "data-seal" not in house.browser().get("/sign-in").text
