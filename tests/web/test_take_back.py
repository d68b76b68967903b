"""Where something was booked, the page that tells of it takes it back: what it showed, and nothing that a colleague did since."""

import re

from remnants.actions import open_catalogue
from remnants.actions.rack import pieces_at
from remnants.actions.show_piece import show_piece
from tests.web.conftest import Browser, House

PIECE = {
    "style": "Velder Loop",
    "shape": "rectangle",
    "width": "21",
    "length": "22",
    "pile": "0",
    "place": "Bay 90",
    "new_tag": "X-1",
}


def button(page: str, word: str) -> tuple[str, dict[str, str]]:
    """Where the form with that button goes, and its hidden fields."""
    forms = re.findall(r'<form method="post" action="([^"]*)">((?:(?!</form>).)*)</form>', page, re.DOTALL)
    (found,) = [(action, held) for action, held in forms if f">{word}</button>" in held]
    return found[0], dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', found[1]))


def stands(house: House, tag: str) -> str:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        standing = show_piece(catalogue, tag).standing
        return f"{standing.stage.value} at {standing.piece.place}"


def followed(browser: Browser, path: str, data: dict[str, str]) -> str:
    """The page that a change leads to."""
    return browser.get(browser.post(path, data=data).location).text


def test_a_piece_logged_by_mistake_is_taken_back_where_it_says_so(house: House) -> None:
    wim = house.browser("Wim")
    page = followed(wim, "/log", PIECE)
    action, held = button(page, "Take it back: X-1 was not logged")
    assert wim.post(action, data=held).location == "/log?place=Bay+90"
    assert stands(house, "X-1") == "withdrawn at Bay 90"


def test_what_a_colleague_did_since_is_not_taken_back_instead(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    action, held = button(followed(wim, "/log", PIECE), "Take it back: X-1 was not logged")
    maud.post("/pieces/X-1/move", data={"place": "Bay 91"})
    late = wim.post(action, data=held)
    assert late.status_code == 409 and "X-1 was moved by Maud" in late.text
    assert stands(house, "X-1") == "in stock at Bay 91"


def test_a_move_and_a_discard_are_taken_back_where_they_are_told(house: House) -> None:
    wim = house.browser("Wim")
    was = stands(house, "R-0001")
    for path, data, told in (
        ("/pieces/R-0001/move", {"place": "Bay 91"}, "R-0001 is moved."),
        ("/pieces/R-0001/discard", {"why": "wet"}, "R-0001 is discarded."),
    ):
        page = followed(wim, path, data)
        assert told in page
        assert "Take that back" not in house.browser("Lou").get("/pieces/R-0001?did=1").text
        action, held = button(page, "Take that back")
        wim.post(action, data=held)
        assert stands(house, "R-0001") == was


def counted(house: House, wim: Browser) -> str:
    sent = {"place": "Bay 3", "typed": "R-0001"}
    (shown,) = re.findall(r'name="shown" value="([^"]*)"', wim.post("/count", data=sent).text)
    return followed(wim, "/count/book", sent | {"shown": shown, "key": "count"})


def lying(house: House, place: str) -> list[str]:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return [f"{standing.piece.tag} {standing.stage.value}" for standing in pieces_at(catalogue, place)]


def test_a_count_is_taken_back_whole(house: House) -> None:
    wim = house.browser("Wim")
    wim.post("/pieces/O-0007/move", data={"place": "Bay 3"})
    before = lying(house, "Bay 3")
    page = counted(house, wim)
    assert "O-0007 missing" in lying(house, "Bay 3")
    action, held = button(page, "Take this count back")
    told = wim.get(wim.post(action, data=held).location).text
    assert f"The count is taken back: {len(before)} pieces are told as before it." in told
    assert lying(house, "Bay 3") == before
    assert wim.post(action, data=held).status_code == 303, "pressed twice it is taken back once"
    assert lying(house, "Bay 3") == before


def test_a_count_after_which_a_colleague_did_something_is_not_taken_back_in_part(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    wim.post("/pieces/O-0007/move", data={"place": "Bay 3"})
    action, held = button(counted(house, wim), "Take this count back")
    maud.post("/pieces/R-0001/move", data={"place": "Bay 8"})
    after = lying(house, "Bay 3")
    late = wim.post(action, data=held)
    assert late.status_code == 409 and "R-0001 was moved by Maud" in late.text
    assert lying(house, "Bay 3") == after


def test_what_is_no_count_is_not_taken_back_as_one(house: House) -> None:
    wim = house.browser("Wim")
    assert wim.post("/count/Bay 3/undo", data={"tag": "R-0001", "seen": "1"}).status_code == 409
    assert wim.post("/count/Bay 3/undo", data={"tag": "R-0001", "seen": "x"}).status_code == 422
    assert wim.post("/count/Bay 3/undo", data={"tag": "none", "seen": "1"}).status_code == 404


def test_a_cut_is_taken_back_on_the_jobs_page(house: House) -> None:
    wim = house.browser("Wim")
    asked = wim.get("/patch/answer?style=Velder+Loop&width=10&length=9&pile=0&job=Millrace+5").text
    (form,) = re.findall(r'<form class="no-print" id="book-1".*?</form>', asked, re.DOTALL)[:1]
    held = {name: value.replace("&#34;", '"') for name, value in re.findall(r'name="([^"]+)" value="([^"]*)"', form)}
    page = followed(wim, "/jobs/cut", held)
    assert "Cut" in page
    action, undo = button(page, "Take the cut back")
    answer = wim.post(action, data=undo)
    assert answer.location == "/jobs/J-0001"
    assert "Take the cut back" not in wim.get(answer.location).text
    assert "Released" in wim.get(answer.location).text


def test_the_way_back_stays_in_the_house(house: House) -> None:
    wim = house.browser("Wim")
    wim.post("/pieces/R-0001/move", data={"place": "Bay 91"})
    assert wim.post("/pieces/R-0001/undo", data={"back": "https://elsewhere.test/"}).location == "/"
