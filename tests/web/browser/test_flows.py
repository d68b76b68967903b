"""The flows of the three users, in a real browser."""

import io
import re

from PIL import Image
from playwright.sync_api import Page, Request, Route, expect

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import known_styles
from tests.web.browser.conftest import DESK, PHONE, Shop, box_of, pile_up


def test_on_the_phone_a_patch_is_drawn_and_answered(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE, has_touch=True)
    page.goto("/")
    page.get_by_role("link", name=re.compile("^Fill a patch")).click()
    page.get_by_label("Style").fill("harow twst")
    page.get_by_label("Across", exact=True).first.fill("3' 4\"")
    page.get_by_label("Up", exact=True).first.fill("14")
    pad = page.get_by_role("group", name=re.compile("Outline"))
    expect(pad).to_be_visible()
    expect(pad.locator("tspan").first).to_have_text("3' 4\"")
    pad.get_by_role("button", name=re.compile("Side 3")).tap()
    side = page.get_by_role("group", name="The side chosen")
    side.get_by_role("button", name=re.compile("^wall")).tap()
    expect(side.get_by_role("button", name=re.compile("^wall"))).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#edge_2")).to_have_value("wall")
    expect(page.locator("#edge_3")).to_have_value("seam")
    side.get_by_role("button", name="Done").tap()
    pad.get_by_role("slider", name="Pile lays towards").press("ArrowRight")
    pad.get_by_role("slider", name="Pile lays towards").press("ArrowRight")
    page.get_by_role("button", name="Can it be made?").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Yes, in one piece")
    assert "edge_2=wall" in page.url and "pile=90" in page.url
    drawing = page.locator(".drawing svg").first
    before = box_of(drawing)["width"]
    page.get_by_role("button", name="Nearer").first.click()
    assert box_of(drawing)["width"] > 1.3 * before


def test_with_a_finger_a_patch_is_drawn_from_nothing_and_its_arrow_turned(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE, has_touch=True)
    page.goto("/patch")
    finger = page.context.new_cdp_session(page)

    def draw(name: str, by: tuple[int, int]) -> None:
        grip = page.locator(f"[data-at={name}]")
        grip.scroll_into_view_if_needed()
        box = box_of(grip)
        at = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": at[0], "y": at[1]}]})
        for share in (0.5, 1.0):
            point = {"x": at[0] + by[0] * share, "y": at[1] + by[1] * share}
            finger.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [point]})
        finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    expect(page.get_by_text("No size yet: drag a corner")).to_be_visible()
    draw("corner2", (0, 40))
    across, up = (page.locator(f"#{name}").input_value() for name in ("width", "length"))
    assert across == "2' 11 1/2\"" or across.startswith(("35", "2' 11", "3'")), across
    assert up and up != "23 1/2 in", "the upper right corner came down"
    draw("pile", (40, 0))
    expect(page.locator("[name=pile]:checked")).to_have_value("90")
    page.get_by_label("Style").fill("Harrow Twist")
    page.get_by_role("button", name="Can it be made?").tap()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert "pile=90" in page.url and "width=" in page.url


def test_a_side_takes_a_typed_length_in_any_unit_and_the_l_keeps_its_notch(shop: Shop) -> None:
    page = shop.page("Wim", viewport=DESK)
    page.goto("/patch?shape=ell&ell_width=48&ell_length=36&out_width=12&out_length=10")
    page.locator("[data-at=edge1]").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#side-length")).to_be_focused()
    page.keyboard.type("76.2 cm")
    expect(page.locator("#ell_length")).to_have_value("3' 4\"")
    expect(page.locator("#out_length")).to_have_value("10")
    page.keyboard.press("Enter")
    expect(page.locator("[data-at=edge1]")).to_be_focused()
    page.goto("/patch?shape=corners&corners=0,0;40,0;40,14;0,14")
    page.locator("[data-at=edge0]").focus()
    page.keyboard.press("Enter")
    page.keyboard.type("50")
    assert page.locator("#corners").input_value().splitlines() == ["0, 0", "50, 0", "50, 14", "0, 14"]
    page.get_by_role("button", name="Add a corner here").click()
    assert page.locator("#corners").input_value().splitlines()[1] == "25, 0"


def test_a_tag_is_scanned_into_the_patch_and_what_was_typed_stays(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE, has_touch=True)
    page.goto("/patch")
    page.locator("#width").fill("40")
    page.locator("#length").fill("14")
    pile_up(page)
    page.locator("#job").fill("Fern Row 2")
    page.get_by_label("Same as a piece").press_sequentially("alder court\n")
    page.get_by_role("button", name=re.compile("L-0001")).tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Yes")
    assert "Harrow+Twist" in page.url and "lot=771" in page.url and "Fern+Row+2" in page.url
    page.goto("/patch")
    page.get_by_label("Same as a piece").press_sequentially("O-0007\n")
    expect(page.get_by_label("Style")).to_have_value("Harrow Twist")
    expect(page.get_by_text("Now the size")).to_be_visible()


def test_the_camera_reads_a_tag_where_the_browser_can(shop: Shop) -> None:
    """A stand-in for the browser's own reader (Shape Detection API), which headless chromium lacks."""
    context = shop.context("Wim", viewport=PHONE)
    context.add_init_script(
        """window.BarcodeDetector = class {
             static async getSupportedFormats() { return ["qr_code"]; }
             async detect() { return [{ rawValue: location.origin + "/pieces/O-0007" }]; } };
           navigator.mediaDevices.getUserMedia = async () => document.createElement("canvas").captureStream();
           HTMLMediaElement.prototype.play = async () => {};"""
    )
    page = context.new_page()
    page.goto("/patch")
    page.get_by_role("button", name="Scan with the camera").click()
    expect(page.get_by_text("Now the size")).to_be_visible()
    expect(page.get_by_label("Style")).to_have_value("Harrow Twist")


def test_a_corner_is_dragged_and_the_figure_follows(shop: Shop) -> None:
    page = shop.page("Wim", viewport=DESK)
    page.goto("/patch?shape=rectangle&width=40&length=20")
    page.get_by_role("button", name="Draw it with corners").click()
    corner = page.get_by_role("button", name=re.compile("Corner 3"))
    corner.scroll_into_view_if_needed()
    box = box_of(corner)
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(middle[0] + 40, middle[1] - 40, steps=4)
    page.mouse.up()
    corners = page.get_by_label("Corners, one a line").input_value().splitlines()
    assert corners[0] == "0, 0"
    assert float(corners[2].split(",")[0]) > 40 and float(corners[2].split(",")[1]) > 20


def test_by_keyboard_alone_a_patch_is_drawn_asked_and_held(shop: Shop) -> None:
    page = shop.page("Wim", viewport=DESK)
    page.goto("/patch?shape=corners&corners=0,0;40,0;40,14;0,14")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the page")).to_be_focused()
    page.keyboard.press("Enter")
    tab_to(page, "document.activeElement.name", "style")
    page.keyboard.type("Harrow Twist")
    tab_to(page, "document.activeElement.name", "job")
    page.keyboard.type("Millrace 8")
    tab_to(page, "document.activeElement.dataset?.at", "edge2")
    page.keyboard.press("Enter")
    tab_to(page, "document.activeElement.dataset?.finish", "wall")
    page.keyboard.press("Space")
    page.keyboard.press("Escape")
    expect(page.locator("[data-at=edge2]")).to_be_focused()
    tab_to(page, "document.activeElement.dataset?.at", "pile")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    tab_to(page, "document.activeElement.dataset?.at", "corner2")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowUp")
    assert page.get_by_label("Corners, one a line").input_value().splitlines()[2] == "40, 15"
    tab_to(page, "document.activeElement.textContent", "Can it be made?")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Yes")
    assert "edge_2=wall" in page.url and "pile=90" in page.url
    tab_to(page, "document.activeElement.textContent", "Hold for 14 days")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Millrace 8")


def tab_to(page: Page, told: str, wanted: str) -> None:
    for _ in range(60):
        if page.evaluate(told) == wanted:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"the tab key never reaches {wanted}")


def test_the_closet_patches_the_hall_in_one_go(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE, has_touch=True)
    page.goto("/")
    page.get_by_role("link", name=re.compile("^Can the closet patch the hall")).tap()
    expect(page.get_by_label("Where it lies")).to_be_visible()
    page.get_by_label("Style").fill("Fell Twist")
    page.get_by_label("Job").fill("Plover Close 4")
    page.locator("#width").fill("20")
    page.locator("#length").fill("20")
    pile_up(page)
    page.locator("#laid_width").fill("3 ft")
    page.locator("[name=laid_pile][value='0']").check()
    page.locator("#laid_length").fill("zz")
    page.get_by_label("Where it lies").fill("hall closet")
    page.get_by_role("button", name="Can it be made?").tap()
    expect(page.locator("#faults")).to_contain_text("Up: 'zz' is no length")
    page.locator("#laid_length").fill("4 ft")
    page.get_by_role("button", name="Can it be made?").tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Yes, in one piece")
    logged = page.get_by_role("status").filter(has_text="Logged as").get_by_role("link").inner_text()
    expect(page.locator(".fetch").first).to_contain_text(logged)
    expect(page.locator(".fetch").first).to_contain_text("hall closet")
    page.go_back()
    page.goto("/patch")
    expect(page.locator("#laid_width")).to_have_value("")
    shop.complaints[:] = [told for told in shop.complaints if "status of 422" not in told]


def test_two_fingers_bring_a_drawing_nearer(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE, has_touch=True)
    page.goto("/patch/answer?style=Velder+Loop&width=20&length=14&pile=0")
    expect(page.get_by_role("button", name="Nearer").first).to_be_visible()
    frame = page.locator(".drawing").first
    frame.scroll_into_view_if_needed()
    drawing, box = frame.locator("svg"), box_of(frame)
    before = box_of(drawing)["width"]
    fingers = page.context.new_cdp_session(page)
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    def touch(kind: str, apart: float) -> None:
        points = [{"x": middle[0] + side * apart, "y": middle[1], "id": at} for at, side in enumerate((-1, 1))]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points if kind != "touchEnd" else []})

    touch("touchStart", 20)
    for apart in (20, 40, 60):
        touch("touchMove", apart)
    touch("touchEnd", 0)
    assert box_of(drawing)["width"] > 1.3 * before
    page.get_by_role("button", name="Whole drawing").first.tap()
    assert box_of(drawing)["width"] <= before + 1


def test_at_the_dock_a_piece_is_logged_and_suggestions_come_as_typed(shop: Shop) -> None:
    page = shop.page("Wim", viewport=DESK)
    page.goto("/log")
    page.get_by_label("Style").press_sequentially("veld")
    expect(page.locator("#styles option").first).to_have_attribute("value", "Velder Loop")
    page.get_by_label("Style").fill("Velder Loop")
    page.get_by_label("Across", exact=True).fill("36")
    page.get_by_label("Up", exact=True).fill("4 ft")
    pile_up(page)
    page.get_by_label("Place").fill("Bay 9")
    page.get_by_label("Place").press("Enter")
    expect(page.get_by_role("status").filter(has_text="Logged as")).to_contain_text("Velder Loop, Bay 9")
    expect(page.get_by_label("Place")).to_have_value("Bay 9")


def test_a_scanner_types_a_tag_and_the_piece_opens(shop: Shop) -> None:
    page = shop.page("Wim", viewport=DESK)
    page.goto("/find")
    page.get_by_label("Style, colour, lot or tag").press_sequentially("O-0007\n")
    expect(page.get_by_role("heading", level=1)).to_have_text("O-0007")


def test_without_signal_a_piece_waits_and_is_sent_once_when_it_is_back(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log")
    page.context.set_offline(True)
    page.get_by_label("Style").fill("Velder Loop")
    page.get_by_label("Across", exact=True).fill("21")
    page.get_by_label("Up", exact=True).fill("22")
    pile_up(page)
    page.get_by_label("Place").fill("Bay 77")
    page.get_by_role("button", name="Log it").click()
    expect(page.locator("#waiting")).to_contain_text("Kept on this device until there is signal: 1")
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_be_hidden()
    page.goto("/find?words=velder+loop")
    expect(page.get_by_text("Bay 77")).to_have_count(1)
    signal_aside(shop)


def waiting_with_a_question(shop: Shop, place: str, photo: bytes = b"") -> Page:
    """A piece of a misspelt style that was logged without signal, and sent since."""
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log")
    page.context.set_offline(True)
    page.get_by_label("Style").fill("Veldr Loop")
    page.get_by_label("Across", exact=True).fill("21")
    page.get_by_label("Up", exact=True).fill("22")
    pile_up(page)
    page.get_by_label("Place").fill(place)
    if photo:
        page.get_by_label("Photograph").set_input_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": photo})
    page.get_by_role("button", name="Log it").click()
    expect(page.locator("#waiting")).to_contain_text("Kept on this device until there is signal: 1")
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_contain_text("did you mean Velder Loop")
    expect(page.locator("#waiting")).to_contain_text("not booked yet: 1 (a piece). It waits for your answer.")
    return page


def refusal_aside(shop: Shop) -> None:
    shop.complaints[:] = [told for told in shop.complaints if "422" not in told]


def test_a_misspelt_style_that_waited_for_signal_waits_on_with_the_question(shop: Shop) -> None:
    out = io.BytesIO()
    Image.linear_gradient("L").resize((600, 400)).convert("RGB").save(out, "JPEG")
    page = waiting_with_a_question(shop, "Bay 78", out.getvalue())
    page.goto("/find?words=velder+loop")
    expect(page.get_by_text("Bay 78")).to_have_count(0)
    page.locator("#waiting").get_by_role("button", name="Velder Loop", exact=True).click()
    expect(page.locator("#waiting")).to_be_hidden()
    page.goto("/find?words=velder+loop")
    page.get_by_role("link").filter(has_text="Bay 78").click()
    expect(page.locator("img.photo")).to_have_count(1)
    with open_catalogue(shop.catalogue, write=False) as catalogue:
        assert "Veldr Loop" not in known_styles(catalogue)
    signal_aside(shop)
    refusal_aside(shop)


def test_a_piece_that_waits_with_a_question_can_be_looked_at_in_its_form_and_is_logged_once(shop: Shop) -> None:
    page = waiting_with_a_question(shop, "Bay 79")
    page.locator("#waiting").get_by_role("link", name="Look at it first").click()
    expect(page.get_by_role("group", name="No style is called")).to_be_visible()
    expect(page.get_by_label("Across", exact=True)).to_have_value("21")
    page.get_by_label("it is a new style").check()
    page.get_by_label("Velder Loop", exact=True).check()
    page.get_by_role("button", name="Log it").first.click()
    expect(page.get_by_role("status").filter(has_text="Logged as")).to_contain_text("Velder Loop, Bay 79")
    expect(page.locator("#waiting")).to_be_hidden()
    page.goto("/find?words=velder+loop")
    expect(page.get_by_text("Bay 79")).to_have_count(1)
    signal_aside(shop)
    refusal_aside(shop)


NO_SIGNAL = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "unknown error occurred when fetching the script", "Failed to fetch")
"""What the browser itself says of a lost signal."""


def signal_aside(shop: Shop) -> None:
    shop.complaints[:] = [told for told in shop.complaints if not any(words in told for words in NO_SIGNAL)]


def kept_page(page: Page, path: str) -> None:
    """Opens a page on a device that keeps pages."""
    page.goto(path)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    page.goto(path)


def test_a_booking_made_while_the_signal_is_lost_is_booked_once_when_it_is_back(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/patch/answer?style=Velder+Loop&width=10&length=9&pile=0&job=Millrace+5")
    page.context.set_offline(True)
    page.mouse.wheel(0, 500)
    hold = page.locator(".thumb .do")
    hold.click()
    expect(page.locator("#waiting")).to_contain_text("Kept on this device until there is signal: 1 (a booking)")
    told, outbox = page.locator(".thumb .pressed"), page.locator("#outbox")
    expect(told).to_contain_text("Kept on this device, not booked yet.")
    for seen in (told, outbox):  # the line at the top stood out of view, and the button looked untouched
        expect(seen).to_be_in_viewport()
    expect(outbox).to_have_text("1 waits here, not booked yet")
    expect(hold).to_have_text("Kept, waits for signal")
    for button in page.locator(".thumb button").all():
        expect(button).to_be_disabled()
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_be_hidden()
    expect(told).to_contain_text("Sent, and done.")
    expect(outbox).to_be_hidden()
    page.goto("/jobs/Millrace 5")
    expect(page.get_by_text("Held", exact=False).first).to_be_visible()
    tag = page.locator(".facts .tag").first.inner_text()
    page.goto(f"/pieces/{tag}")
    assert page.locator("tbody tr", has_text="Millrace 5").count() == 1, "booked once"
    signal_aside(shop)


def test_a_connection_that_only_looks_alive_keeps_the_booking_and_a_repeat_counts_once(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/patch/answer?style=Velder+Loop&width=10&length=8&pile=0&job=Millrace+6")
    arrived = []

    def swallow(route: Route, request: Request) -> None:
        """The shop gets it and its answer is lost on the way back."""
        arrived.append(route.fetch(max_redirects=0).status)
        route.abort()

    page.route("**/jobs/hold", swallow, times=1)
    page.get_by_role("button", name="Hold for 14 days").first.click()
    expect(page.locator("#waiting")).to_contain_text("Kept on this device")
    assert arrived == [303]
    page.reload()
    expect(page.locator("#waiting")).to_be_hidden()
    page.goto("/jobs/Millrace 6")
    tag = page.locator(".facts .tag").first.inner_text()
    page.goto(f"/pieces/{tag}")
    assert page.locator("tbody tr", has_text="Millrace 6").count() == 1, "booked once"
    signal_aside(shop)


def test_a_question_without_signal_stays_as_typed_and_is_answered_when_it_is_back(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    kept_page(page, "/patch")
    page.context.set_offline(True)
    page.get_by_label("Style").fill("Harrow Twist")
    page.get_by_label("Job").fill("Alder Court 7")
    page.locator("#width").fill("40")
    page.locator("#length").fill("14")
    pile_up(page)
    page.get_by_role("button", name="Can it be made?").click()
    expect(page.locator("#waiting")).to_contain_text("No signal, so nothing was sent")
    page.reload()
    expect(page.get_by_label("Style")).to_have_value("Harrow Twist")
    expect(page.locator("#width")).to_have_value("40")
    page.context.set_offline(False)
    page.get_by_role("button", name="Can it be made?").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Yes")
    page.goto("/patch")
    expect(page.locator("#width")).to_have_value("")
    signal_aside(shop)


def test_the_last_job_and_its_sheets_open_without_signal(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    kept_page(page, "/patch/answer?style=Velder+Loop&width=10&length=7&pile=0&job=Millrace+7")
    page.get_by_role("button", name="Hold for 14 days").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Millrace 7")
    expect(page.get_by_text("Kept on this device: the job and its sheets open without signal.")).to_be_visible()
    page.context.set_offline(True)
    sheet = "caches.match(location.pathname + '/sheet.pdf').then(kept => kept?.headers.get('Content-Type'))"
    assert page.evaluate(sheet) == "application/pdf"
    page.goto("/")
    page.get_by_role("link", name="Millrace 7").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Millrace 7")
    expect(page.locator(".drawing svg").first).to_be_visible()
    expect(page.locator(".key").first).to_contain_text("cut")
    signal_aside(shop)


KEEP = """async (wanted) => {
  const { active } = await navigator.serviceWorker.ready, channel = new MessageChannel();
  const told = new Promise((done) => { channel.port1.onmessage = ({ data }) => done(data.kept); });
  active.postMessage({ keep: wanted }, [channel.port2]);
  return [await told, Boolean(await caches.match(wanted[0])), Boolean(await caches.match(wanted.at(-1)))];
}"""


def test_what_is_said_to_be_kept_lies_in_the_store_and_what_is_not_there_is_not_said_to_be(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    kept_page(page, "/patch")
    assert page.evaluate(KEEP, ["/jobs", "/stock", "/racks"]) == [True, True, True]
    assert page.evaluate(KEEP, ["/find", "/jobs/none/sheet.pdf"]) == [False, True, False]
    page.context.set_offline(True)
    assert page.evaluate(KEEP, ["/jobs", "/racks"]) == [True, True, True], "it was kept before"
    assert page.evaluate(KEEP, ["/jobs", "/order"]) == [False, True, False]
    shop.complaints.clear()


def test_what_was_typed_stays_over_a_reload(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log")
    page.get_by_label("Style").fill("Half typed")
    page.reload()
    expect(page.get_by_label("Style")).to_have_value("Half typed")


def test_the_last_answer_opens_without_signal(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/patch")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    address = "/patch/answer?style=Harrow+Twist&width=20&length=14&pile=90&job=Alder+Court+7"
    page.goto(address)
    expect(page.get_by_role("heading", level=1)).to_have_text("Yes, in one piece")
    page.context.set_offline(True)
    page.goto("/find?words=never+opened")
    expect(page.get_by_role("heading", level=1)).to_have_text("No signal here")
    page.goto(address)
    expect(page.get_by_role("heading", level=1)).to_have_text("Yes, in one piece")
    shop.complaints.clear()


def test_scripts_off_every_form_still_works(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE, java_script_enabled=False)
    page.goto("/patch")
    page.get_by_label("Style").fill("Velder Loop")
    page.get_by_label("Across", exact=True).first.fill("20")
    page.get_by_label("Up", exact=True).first.fill("10")
    pile_up(page)
    page.get_by_role("button", name="Can it be made?").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Yes")
    page.get_by_label("Book it under which name?").first.fill("Millrace 9")
    page.get_by_role("button", name="Hold for 14 days").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Millrace 9")
    page.get_by_role("button", name="Let go").click()
    expect(page.get_by_role("heading", name="Released")).to_be_visible()


def test_two_browsers_book_one_donor_one_wins_and_the_other_sees_why(shop: Shop) -> None:
    pages = {}
    for name, job in (("Wim", "Alder Court 7"), ("Maud", "Fern Row 2")):
        page = shop.page(name, viewport=PHONE)
        page.goto(
            f"/patch/answer?style=Velder+Loop&colour=Oatmeal&lot=9002-A&width=20&length=10&pile=0&job={job.replace(' ', '+')}"
        )
        expect(page.get_by_role("heading", level=1)).to_have_text("Yes, in one piece")
        pages[name] = page
    donor = pages["Maud"].locator(".fetch .tag").first.inner_text()
    assert pages["Wim"].locator(".fetch .tag").first.inner_text() == donor
    pages["Wim"].get_by_role("button", name="Hold for 14 days").first.click()
    expect(pages["Wim"].get_by_role("heading", level=1)).to_have_text("Alder Court 7")
    pages["Maud"].get_by_role("button", name="Cut: book it now").first.click()
    expect(pages["Maud"].get_by_role("heading", level=1)).to_have_text("Somebody was first")
    expect(pages["Maud"].get_by_role("alert")).to_contain_text(
        re.compile(rf"{donor} was held by Wim for Alder Court 7 on \d+ \w+ \d{{4}}, ")
    )
    pages["Maud"].get_by_role("link", name="Ask again with today's stock").click()
    expect(pages["Maud"].locator(".fetch:visible").filter(has_text=donor)).to_have_count(0)
    expect(pages["Maud"].locator(f"form [name=seen][value*='\"{donor}\"']")).to_have_count(0)
    expect(pages["Maud"].get_by_text("held for another job").first).to_be_attached()
    shop.complaints[:] = [told for told in shop.complaints if "status of 409" not in told]  # the browser notes the refusal


def test_scripts_off_an_l_shaped_room_is_ordered_and_taken_along(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE, java_script_enabled=False)
    page.goto("/order")
    page.get_by_label("Room 1", exact=True).fill("lounge")
    page.get_by_label("Across", exact=True).first.fill("14 ft")
    page.get_by_label("Up", exact=True).first.fill("16 ft")
    page.get_by_text("L shape, doorways, pile, carpet of room 1").click()
    page.get_by_label("Corner cut out").first.select_option(label="upper right")
    page.get_by_label("Cut out, across").first.fill("4 ft")
    page.get_by_label("Cut out, up").first.fill("5 ft")
    page.get_by_label("Roll is wide").fill("12 ft")
    page.get_by_role("button", name="Work it out", exact=True).click()
    expect(page.get_by_role("region", name="Stock against order")).to_contain_text("to order")
    expect(page.get_by_role("img", name=re.compile("^lounge"))).to_be_visible()
    for button, name in (("For a spreadsheet, CSV", "order.csv"), ("On paper, PDF", "order.pdf")):
        with page.expect_download() as taken:
            page.get_by_role("button", name=button).click()
        assert taken.value.suggested_filename == name


def test_stock_over_time_opens_its_figures_by_keyboard(shop: Shop) -> None:
    page = shop.page("Wim", viewport=DESK)
    page.goto("/stock")
    summary = page.get_by_text("By style, today, in figures")
    summary.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("region", name="By style, today in figures")).to_contain_text("Velder Loop")


def test_on_the_phone_what_a_rule_says_has_room_for_words(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/rules")
    told = page.locator("dl.facts dd").all()
    assert len(told) > 5
    assert all(box_of(each)["width"] > PHONE["width"] / 3 for each in told)
