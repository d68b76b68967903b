"""Measured in a photograph on a page: made flat, tapped, taken on as damage or as a piece; seen by nobody else, and gone."""

import html
import io
import json
import re
from functools import cache
from typing import Any
from urllib.parse import parse_qsl, urlsplit

import numpy as np
import pytest
from PIL import Image

from remnants.actions import open_catalogue
from remnants.actions.flat_photos import HOLDS, Flattened, keep_flat, made_flat, stain_in
from remnants.actions.log_pieces import known_styles
from remnants.actions.make_sheet import fonts
from remnants.photo import there
from remnants.report.photo_page import photo_page_pdf
from remnants.store import photos, pieces
from tests.photo.photographs import Shot, as_jpeg, photographed
from tests.photo.test_rows import laid
from tests.photo.two_carpets import FLOOR_AT, OTHER_AT, two_carpets
from tests.web.conftest import Browser, Clock, House
from tests.web.test_labels import refusals

BURN = np.array([(150.0, -60.0), (300.0, -60.0), (300.0, 90.0), (150.0, 90.0)])
SHOT = Shot(width=1280, height=960, tilt_deg=12.0, away=1100.0, looks_at=(120.0, 20.0))
ROOM = {
    "style": "Harrow Twist",
    "width": "70",
    "length": "120",
    "room": "hall",
    "pile": "0",
    "damage_x_1": "9",
    "damage_y_1": "20",
}


@cache
def jpeg(told_35: float | None = 26.0) -> bytes:
    return as_jpeg(photographed(SHOT, stain=BURN), told_35)


def sent(browser: Browser, photo: bytes | None = None, **fields: str) -> tuple[int, str, str]:
    """What sending a photograph comes to: the status, where it leads, and the page."""
    form = fields | ({} if photo is None else {"photo": (io.BytesIO(photo), "a.jpg")})
    answer = browser.post("/measure", data=form, content_type="multipart/form-data")
    return answer.status_code, answer.headers.get("Location", ""), answer.text


@pytest.fixture
def wim(house: House) -> Browser:
    """Somebody who works here, after the true size of page 7 was told."""
    browser = house.browser("Wim")
    assert sent(browser, page="7", bar="150")[0] == 422, "the bar is kept, and a photograph asked for"
    return browser


def place(house: House, x: float, y: float) -> str:
    """Where a point of the carpet (mm) is in the flat picture, pixels."""
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        (row,) = catalogue.query("SELECT told FROM flat_photo ORDER BY number DESC LIMIT 1")
    told = json.loads(row["told"])
    (left, bottom), scale = told["corner_mm"], told["px_per_mm"]
    return f"{(x - left) * scale:.1f},{told['flat_size'][1] - (y - bottom) * scale:.1f}"


def fields_of(address: str) -> dict[str, str]:
    return dict(parse_qsl(urlsplit(address).query))


@cache
def made() -> Flattened:
    """The photograph made flat, once for all tests."""
    return made_flat(jpeg(), ((7, 150.0),), name="photo")


@cache
def outline() -> dict[str, str]:
    """What a tap in the burn comes to, once for all tests."""
    stain = stain_in(made(), (225.0, 15.0))
    left, bottom = made().flat.corner_mm
    corners = "\n".join(f"{x - left:.2f} mm, {y - bottom:.2f} mm" for x, y in stain.corners)
    return {"corners": corners, "edge": f"{stain.edge_mm:.2f}"}


def kept(house: House, person: str = "Wim") -> str:
    """The address of the photograph, made flat and kept for somebody."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        return f"/measure/{keep_flat(catalogue, person, made(), now=house.settings.now())}"


def going_on(house: House, browser: Browser, to: str, **fields: str) -> dict[str, str]:
    """The fields that the burn's outline comes to on another form."""
    answer = browser.get(kept(house), query_string=outline() | {"on": to} | fields)
    assert answer.status_code == 303, answer.text
    return fields_of(answer.headers["Location"])


def span(ring: list[list[float]]) -> list[float]:
    return [max(axis) - min(axis) for axis in zip(*ring, strict=True)]


def test_damage_in_a_photograph_becomes_outlines_to_choose_from_and_what_was_typed_comes_along(
    house: House, wim: Browser
) -> None:
    asked = fields_of(wim.get("/measure", query_string={**ROOM, "measure": "propose", "key": "k"}).request.url)
    page = wim.get("/measure", query_string=asked).text
    typed = re.search(r'name="typed" value="([^"]*)"', page)
    assert typed and "key" not in typed[1] and "damage_x_1=9" in typed[1]
    status, leads, _ = sent(wim, jpeg(), measure="propose", typed=typed[1].replace("&amp;", "&"))
    assert status == 303
    found = wim.get(f"{leads}&tap={place(house, 225.0, 15.0)}").headers["Location"]
    shown = wim.get(found).text
    assert "±" in shown and "95 times of 100" in shown and "no real phone was measured yet" in shown
    form = fields_of(wim.get(f"{found}&on=propose").headers["Location"])
    assert form.items() >= ROOM.items() and form["damage_traced_1"] == "1"
    answer = wim.post("/propose", data=form)
    assert answer.status_code == 303, refusals(answer.text)
    page = wim.get(answer.headers["Location"]).text
    assert "Patch fits for sure as far as its photograph goes (patch ± " in page and "Check with a tape" in page
    for patch in taken(page):
        bar = patch["photo_bar"]
        assert len(patch["photo_digest"]) == 64
        for side in span(patch["outline"]):  # 150 mm of damage, 1 in of carpet at each side, and the bar on top; told in feet
            assert side * 304.8 >= 150.0 + 2 * 25.4 - 0.1 and bar * 304.8 > 1.0


def taken(page: str) -> list[dict[str, Any]]:
    """The patches of each outline that may be taken."""
    found = re.findall(r'href="/patch/answer\?([^"]*)"', page)
    assert found
    return [json.loads(dict(parse_qsl(each.replace("&amp;", "&")))["patches"])[0] for each in found]


def test_the_pages_top_turned_to_the_right_turns_the_damage(house: House, wim: Browser) -> None:
    rings = []
    for top in ("0", "90"):
        told = going_on(house, wim, "propose", top=top)["damage_ring_1"]
        rings.append([[float(part) for part in point.split(",")] for point in told.split(";")])
    wide = max(x for x, _ in rings[0])
    for (x, y), (across, up) in zip(*rings, strict=True):
        assert (across, up) == pytest.approx((y, wide - x), abs=0.2)


def test_a_size_that_is_no_longer_the_photographs_is_asked_about_and_counts_as_a_box_without_the_tick(
    house: House, wim: Browser
) -> None:
    form = ROOM | going_on(house, wim, "propose")
    wide = form | {"damage_width_1": "12 in"}
    (told,) = refusals(wim.post("/propose", data=wide).text)
    assert told.field == "damage_width_1" and "untick its outline" in told.what
    assert (
        wim.post("/propose", data={field: text for field, text in wide.items() if field != "damage_traced_1"}).status_code == 303
    )
    for field, text in (("damage_ring_1", "0,0;x"), ("damage_ring_1", "0,0;9,9"), ("damage_bar_1", "nan")):
        assert refusals(wim.post("/propose", data=form | {field: text}).text)[0].field == "damage_width_1"


def test_a_piece_at_the_rack_is_logged_smaller_by_its_bar_with_its_picture_where_that_is_asked(
    house: House, wim: Browser
) -> None:
    form = going_on(house, wim, "log", measure="log", typed="style=Velder+Loop&place=Bay+3")
    assert (form["style"], form["place"], form["shape"]) == ("Velder Loop", "Bay 3", "corners")
    page = wim.get("/log", query_string=form).text
    assert "Its outline is from a photograph, drawn in by" in page
    for number, more in enumerate(({}, {"keep_flat": "1"}, {"shape": "rectangle", "width": "6", "length": "6"})):
        assert wim.post("/log", data=form | {"pile": "0", "new_tag": f"R-09{number}0"} | more).status_code == 303
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        first, second, third = (pieces.find_standing(catalogue, f"R-09{number}0") for number in range(3))
        pictures = [len(photos.every_of(catalogue, f"R-09{number}0")) for number in range(3)]
    assert first and second and third and pictures == [0, 1, 0]
    left, bottom, right, top = first.piece.outline.bounds
    assert first.piece.photo_bar_mm and len(first.piece.photo_digest) == 64
    assert 120.0 < right - left <= 150.0 and 120.0 < top - bottom <= 150.0
    assert third.piece.photo_bar_mm is None, "told anew with a tape"


@pytest.mark.parametrize(("side", "said"), [(47.7, "fits for sure"), (48.2, "may fit, out of R-0001"), (48.6, "")])
def test_a_patch_from_a_photograph_fits_for_sure_or_may_fit_or_does_not(wim: Browser, side: float, said: str) -> None:
    patch = {"name": "burn", "width": f"{side} in", "length": "65 in", "pile": 0, "edges": "free", "photo_bar": "0.25 in"}
    job = {"style": "Velder Loop", "lot": "4471-B", "patches": json.dumps([patch]), "avoid": "R-0002"}
    page = wim.get("/patch/answer", query_string=job).text
    told = re.findall(r'<p class="([a-z ]*)">Burn ([^<]*photograph[^<]*)', page)
    assert {text.startswith(said) for _, text in told} == ({True} if said else set()), told
    if said.startswith("may"):
        assert told[0][0] == "note heed" and "No, nothing fits" in page, "no small print"


def test_a_phone_is_tried_with_known_lengths_until_there_is_a_verdict(house: House, wim: Browser) -> None:
    assert "no real phone was measured" in wim.get("/measure/trial").text
    leads = kept(house)
    left, bottom = made().flat.corner_mm
    corners = "\n".join(f"{x - left:.2f} mm, {y - bottom:.2f} mm" for x, y in BURN[:2])
    asked = {"measure": "trial", "corners": corners, "on": "trial"}
    assert refusals(wim.get(leads, query_string=asked | {"known": "x"}).text)[0].field == "known"
    assert refusals(wim.get(leads, query_string=outline() | {"on": "trial", "known": "150 mm"}).text)[0].field == "corners"
    page = wim.get(wim.get(leads, query_string=asked | {"known": "150 mm"}).headers["Location"])
    assert "within the bar" in page.text and "That is too few to tell" in page.text
    again = re.search(r'href="([^"]*)">Another length', page.text)
    assert again and 'value="trial"' in wim.get(html.unescape(again[1])).text
    tried = fields_of(page.request.url)["tried"]
    second = wim.get(leads, query_string=asked | {"known": "200 mm", "typed": f"tried={tried}"}).headers["Location"]
    assert "1 of 2 lengths lie within" in wim.get(second).text
    nine = ";".join(f"600,7,600,{at % 3}" for at in range(9))
    assert "The bars hold on this phone" in wim.get("/measure/trial", query_string={"tried": nine}).text
    for wrong in ("x", "1,2,3", "0,1,1,a", ";".join(["1,1,1,a"] * 61)):
        assert wim.get("/measure/trial", query_string={"tried": wrong}).status_code == 422


def test_both_candidates_for_the_rows_are_drawn_over_the_picture_and_one_is_taken_over(house: House, wim: Browser) -> None:
    carpet = laid(made(), (0.0, 4.0, 14.0), (90.0, 3.0, 16.0), (0.0, 60.0, 14.0))
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        number = keep_flat(catalogue, "Wim", carpet, now=house.settings.now())
    asked = outline() | {"rows": place(house, 100.0, 280.0), "measure": "propose", "typed": "style=x"}
    page = wim.get(f"/measure/{number}", query_string=asked).text
    told = re.findall(r'<li class="rows-\d">(.*?)(?:<a|</li>)', page, re.DOTALL)
    assert len(told) == 2 and all("±" in each for each in told) and "stroke it" in page
    assert page.count("<line ") == 10, "five rows of each, over the picture"
    take = re.findall(r'href="([^"]*row=(4\.0\d)[^"]*)">Take the', page)
    assert take, told
    form = fields_of(wim.get(html.unescape(take[0][0]) + "&on=propose&top=90").headers["Location"])
    assert form["row"] == f"{take[0][1]} mm" and float(form["rows_run"]) == pytest.approx(90.0, abs=1.0)
    assert "stroke it" in wim.get("/propose", query_string=form).text and "pile" not in form
    far = wim.get(f"/measure/{number}", query_string=asked | {"rows": "1,1"})
    assert far.status_code == 422 and wim.get(f"/measure/{number}", query_string={"rows": "inf,nan"}).status_code == 422


def test_rows_and_repeat_go_on_to_the_piece_and_describe_its_style_and_the_pile_is_asked(house: House, wim: Browser) -> None:
    carpet = laid(made(), (3.0, 4.0, 18.0), (93.0, 3.0, 9.0), (3.0, 60.0, 12.0), (93.0, 45.0, 12.0))
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        number = keep_flat(catalogue, "Wim", carpet, now=house.settings.now())
    bare = {"rows": place(house, 100.0, 280.0), "measure": "log", "typed": "style=Elmore+Weave"}
    page = wim.get(f"/measure/{number}", query_string=bare).text
    (take,) = re.findall(r'href="([^"]*row=4\.0\d[^"]*)">Take the', page)
    taken = wim.get(html.unescape(take)).text
    assert "Taken over: rows run" in taken and "the pattern repeats every" in taken
    form = fields_of(wim.get(html.unescape(take) + "&on=log").headers["Location"])
    assert float(form["repeat_across"]) == pytest.approx(60.0, abs=1.0) and "corners" not in form, "without an outline too"
    asked = fields_of(html.unescape(take)) | outline() | {"on": "log"}
    traced = fields_of(wim.get(f"/measure/{number}", query_string=asked).headers["Location"])
    assert traced["corners"] != going_on(house, wim, "log")["corners"], "turned so that its rows run up it"
    page = wim.get("/log", query_string=form).text
    assert "no photograph tells which" in page and 'name="pile" value="0" required' in page
    sized = form | {"shape": "rectangle", "width": "40", "length": "60", "describe": "1"}
    assert [fault.field for fault in refusals(wim.post("/log", data=sized | {"new_tag": "R-0950"}).text)] == ["pile"]
    assert wim.post("/log", data=sized | {"new_tag": "R-0950", "pile": "0"}).status_code == 303
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        style = known_styles(catalogue)["Elmore Weave"]
    assert style.repeat and style.repeat_bar_mm and style.row_mm == pytest.approx(4.0, abs=0.05)
    assert abs(style.repeat.across_mm - 60.0) <= style.repeat_bar_mm and abs(style.repeat.along_mm - 45.0) <= style.repeat_bar_mm
    again = sized | {"new_tag": "R-0951", "pile": "0"}
    assert "count rows with a rule" in wim.post("/log", data=again | {"row": "5.00 mm"}).text
    assert wim.post("/log", data=again | {"row": "5.00 mm", "describe": ""}).status_code == 303, "logged without it"
    assert wim.post("/log", data=again | {"repeat_bar": "x", "new_tag": "R-0952"}).status_code in (303, 422)


def test_two_corners_make_a_length_and_a_script_is_told_the_same(house: House, wim: Browser) -> None:
    leads = kept(house)
    (x1, y1), (x2, y2) = ([float(part) for part in place(house, *BURN[at]).split(",")] for at in (0, 1))
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        told = json.loads(next(iter(catalogue.query("SELECT told FROM flat_photo")))["told"])
    scale, high = told["px_per_mm"], told["flat_size"][1]
    corners = "\n".join(f"{x / scale:.2f} mm, {(high - y) / scale:.2f} mm" for x, y in ((x1, y1), (x2, y2)))
    page = wim.get(leads, query_string={"corners": corners}).text
    answer = wim.get(leads, query_string={"corners": corners}, headers={"Accept": "application/json"}).json
    assert answer and answer["sides"][0] in html.unescape(page)
    assert re.fullmatch(r'5 (7/8|15/16)" ± 3/16"', answer["sides"][0].replace("\xa0", " "))
    assert "an outline goes on, not a length" in wim.get(leads, query_string={"corners": corners, "on": "propose"}).text
    far = wim.get(leads, query_string={"corners": "0, 0\n900, 900"}, headers={"Accept": "application/json"})
    assert far.status_code == 422 and far.json and far.json["faults"][0]["where"] == "corners"
    assert wim.get(leads, query_string={"tap": "x"}).status_code == 422
    assert wim.get(leads, query_string={"corners": corners + "\n0,0", "edge": "nan"}).status_code == 422
    assert wim.get(leads, query_string={"corners": "1, 1"}).status_code == 200


@pytest.mark.parametrize(
    ("photo", "fields", "where", "told"),
    [
        (None, {}, "photo", "take or choose a photograph first"),
        (b"no picture", {}, "photo", "no picture that can be read"),
        (jpeg(None), {}, "lens", "does not tell its lens"),
        (jpeg(), {"lens": "wide"}, "lens", "is no lens"),
        (jpeg(), {"above": "deep"}, "above", "deep"),
        (jpeg(), {"bar": "90", "page": "7"}, "bar", "measure it from tick to tick"),
        (jpeg(), {"bar": "150", "page": "0"}, "page", "no number of a marker page"),
        (jpeg(), {"bar": "long", "page": "1"}, "bar", "long"),
    ],
)
def test_each_refusal_stands_at_its_field_with_what_to_do(
    wim: Browser, photo: bytes | None, fields: dict[str, str], where: str, told: str
) -> None:
    status, _, page = sent(wim, photo, typed="style=Velder+Loop", measure="log", **fields)
    (refusal,) = refusals(page)
    assert (status, refusal.field) == (422, where) and told in refusal.what
    assert 'value="style=Velder+Loop"' in page, "what was typed elsewhere is still carried"


def test_a_page_that_nobody_measured_asks_for_its_bar_and_the_bar_comes_with_the_photograph(house: House) -> None:
    wim, lou = house.browser("Wim"), house.browser("Lou")
    (told,) = refusals(sent(wim, jpeg())[2])
    assert (
        told.field == "bar" and told.what == "the true size of marker page 7 is not known: measure its check bar and tell it once"
    )
    assert "people who may work" in refusals(sent(lou, jpeg(), page="7", bar="149.5")[2])[0].what
    assert sent(wim, jpeg(), page="7", bar="149.5")[0] == 303
    assert 'its bar is <span class="number">149.5 mm' in lou.get("/measure").text
    assert sent(lou, jpeg())[0] == 303, "who may look may measure"


def test_the_marker_page_is_printed_for_the_papers_of_both_worlds(house: House) -> None:
    lou = house.browser("Lou")
    for paper in ("a4", "letter"):
        answer = lou.get("/measure/page.pdf", query_string={"page": "3", "paper": paper})
        assert answer.data == photo_page_pdf(3, fonts(), paper=paper)
        assert answer.headers["Content-Disposition"] == 'attachment; filename="marker-page-3.pdf"'
    assert lou.get("/measure/page.pdf").data == photo_page_pdf(1, fonts(), paper="letter"), "for who reads feet"
    for wrong in ({"page": "0"}, {"page": "x"}, {"paper": "napkin"}):
        assert lou.get("/measure/page.pdf", query_string=wrong).status_code == 422


def test_nobody_else_sees_it_and_it_is_gone_after_a_day_or_when_it_is_thrown_away(
    house: House, wim: Browser, clock: Clock
) -> None:
    first, second = (kept(house) for _ in range(2))
    assert wim.get(f"{first}.jpg").mimetype == "image/jpeg"
    for path in (first, f"{first}.jpg"):
        assert house.browser("Maud").get(path).status_code == 404
    house.browser("Maud").post(f"{first}/throw-away")
    assert wim.get(first).status_code == 200
    assert (
        wim.post(f"{first}/throw-away", data={"typed": "style=x", "_external": "1"}).headers["Location"]
        == "/measure?typed=style%3Dx"
    )
    assert wim.get(first).status_code == 404 and wim.get(second).status_code == 200
    clock.wait(seconds=HOLDS.total_seconds() + 1)
    assert house.browser("Wim").get(second).status_code == 404
    kept(house)
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert [row["number"] for row in catalogue.query("SELECT count(*) AS number FROM flat_photo")] == [1]


def test_only_so_many_are_kept_of_one_person_and_no_place_with_any(house: House, wim: Browser) -> None:
    for _ in range(5):
        leads = kept(house)
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        held = list(catalogue.query("SELECT jpeg FROM flat_photo ORDER BY number"))
    assert len(held) == 4 and not any(Image.open(io.BytesIO(row["jpeg"])).getexif() for row in held)
    assert wim.get(f"{leads}.jpg").data == held[-1]["jpeg"]


def test_without_what_finds_the_marks_it_is_said_what_to_do(wim: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(there, "find_spec", lambda name: None)
    (told,) = refusals(sent(wim, jpeg())[2])
    assert told.field == "photo" and "remnants[photo]" in told.what


def test_the_step_between_two_carpets_is_told_with_its_bar_and_goes_on_to_the_damage(house: House, wim: Browser) -> None:
    seen = two_carpets(2, step=2.0)
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        number = keep_flat(catalogue, "Wim", seen.flat, now=house.settings.now())
    left, bottom = seen.flat.flat.corner_mm
    corners = "\n".join(f"{x - left:.1f} mm, {y - bottom:.1f} mm" for x, y in (FLOOR_AT, OTHER_AT))
    asked = {"corners": corners, "measure": "propose", "typed": "style=Harrow+Twist", "on": "shade", "step_tag": "R-0001"}
    assert refusals(wim.get(f"/measure/{number}", query_string=asked).text)[0].field == "alike"
    asked |= {"alike": "yes"}
    page = wim.get(f"/measure/{number}", query_string=asked).text
    assert re.search(r"The other carpet is ΔE00 \d\.\d ± \d\.\d from the floor", page)
    (leads,) = re.findall(r'href="([^"]*shade_steps[^"]*)"', page)
    form = fields_of(html.unescape(leads))
    assert form["style"] == "Harrow Twist" and form["shade_steps"].startswith("R-0001 ")
    assert f'value="{form["shade_steps"]}"' in wim.get("/propose", query_string=form).text
    wrong = wim.post("/propose", data=ROOM | {"damage_width_1": "6", "damage_length_1": "6", "shade_steps": "R-0001 2"})
    assert "shade_steps" in [fault.field for fault in refusals(wrong.text)]
    one = wim.get(f"/measure/{number}", query_string=asked | {"corners": corners.splitlines()[0]})
    assert one.status_code == 422 and "in the middle of the other carpet" in one.text
    lab = wim.get(f"/measure/{number}", query_string=asked | {"floor_lab": "far too light"})
    assert refusals(lab.text)[0].field == "floor_lab"
