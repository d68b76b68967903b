"""Rooms dragged and pushed together, and by keyboard; the page loads once for all of it."""

from pathlib import Path

from playwright.sync_api import FloatRect, Page

from tests.test_plans_pdf import a_page, flat
from tests.web.browser.conftest import Shop, box_of

ROOMS = (
    "/order/draw?name_1=Lounge&width_1=14+ft&length_1=16+ft&door_1=right&door_from_1=3+ft&door_width_1=32"
    "&name_2=Hall&width_2=4+ft&length_2=16+ft&x_2=17+ft&y_2=2+ft"
)


def drag(page: Page, box: FloatRect, right: float, down: float) -> None:
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + right / 2, y + down / 2)
    page.mouse.move(x + right, y + down)
    page.mouse.up()


def test_a_room_is_dragged_to_its_neighbour_moved_by_keys_and_a_new_one_drawn(shop: Shop) -> None:
    page = shop.page("Wim", viewport={"width": 1280, "height": 900})
    page.goto(ROOMS)
    lounge, hall = (page.locator(f".plan-room[data-row='{row}']") for row in (1, 2))
    foot = box_of(lounge)["width"] / 14
    drag(page, box_of(hall), -2.8 * foot, 1.8 * foot)
    assert (page.locator("#x_2").input_value(), page.locator("#y_2").input_value()) == ("14' 0\"", "0 in"), "it snapped to both"
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Shift+ArrowUp")
    assert (page.locator("#x_2").input_value(), page.locator("#y_2").input_value()) == ("13' 11\"", "12 in")
    assert page.locator(".plan-told").inner_text() == "Overlapping: Lounge and Hall."
    page.keyboard.press("ArrowRight")
    assert page.locator(".plan-told").inner_text() == ""
    box = box_of(page.locator(".plan"))
    middle = box["x"] + box["width"] / 2
    page.mouse.move(middle - 2 * foot, box["y"] + 4)
    page.mouse.down()
    page.mouse.move(middle + foot, box["y"] + 4 + foot)
    page.mouse.move(middle + 2 * foot, box["y"] + 4 + 1.5 * foot)
    page.mouse.up()
    assert page.locator("#width_3").input_value() != "" and page.locator(".plan-room").count() == 3
    page.locator("#width_3").fill("")
    page.locator("#length_3").fill("")
    page.get_by_role("button", name="Draw it").click()
    page.get_by_text("Nothing overlaps, and every doorway leads to a room.").wait_for()


def test_the_layers_of_a_drawing_are_shown_and_its_file_stays_chosen(shop: Shop) -> None:
    page = shop.page("Wim")
    page.goto("/order")
    page.get_by_text("Or send a drawing or a rooms file").click()
    page.locator("#file").set_input_files("demo/plan.dxf")
    page.get_by_role("button", name="Show what the drawing holds").click()
    page.get_by_label("WALLS: 12 entities").check()
    assert page.locator("#file").evaluate("field => field.files.length") == 1
    page.locator("#drawing_unit").select_option("m")
    page.locator("#drawing_width").fill("12 ft")
    page.get_by_role("button", name="Work it out from the file").click()
    page.get_by_role("heading", name="Roll and rooms").wait_for()
    assert '"name": "Lounge"' in page.locator("#rooms_file").input_value()


def test_a_line_of_a_pdf_is_tapped_and_its_length_typed(shop: Shop, tmp_path: Path) -> None:
    plan = tmp_path / "flat.pdf"
    plan.write_bytes(a_page(flat))
    page = shop.page("Wim")
    page.goto("/order")
    page.get_by_text("Or send a drawing or a rooms file").click()
    page.locator("#file").set_input_files(plan)
    page.get_by_role("button", name="Show what the drawing holds").click()
    line = page.locator(".plan-line").filter(has_text="its middle 3 15/16 in from the left")
    line.locator("line").last.click(force=True)
    number = line.get_attribute("data-line")
    assert page.locator("#drawing_line").input_value() == number and "chosen" in (line.get_attribute("class") or "")
    assert page.locator("#drawing_known").evaluate("field => field === document.activeElement")
    page.locator("#drawing_known").fill("16' 4 7/8\"")
    page.locator("#drawing_width").fill("12 ft")
    page.get_by_role("button", name="Work it out from the file").click()
    page.get_by_role("heading", name="Roll and rooms").wait_for()
    assert '"name": "Lounge"' in page.locator("#rooms_file").input_value()
