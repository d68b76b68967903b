"""What waits on a phone to be sent is its maker's: nobody else signs it, sends it, reads it, or loses it by signing out."""

import io
import time

from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

from remnants.actions import doors, open_catalogue, people
from remnants.actions.show_piece import history_of
from remnants.store import pieces
from remnants_web.settings import utc_now
from tests.web.browser.conftest import PHONE, Shop, pile_up

LOOKS = 100
"""A tenth of a second each."""

LYING = """
async () => {
  const base = await new Promise((done) => {
    const asked = indexedDB.open("remnants-waiting");
    asked.onsuccess = () => done(asked.result);
  });
  const rows = await new Promise((done) => {
    const asked = base.transaction("waiting").objectStore("waiting").getAll();
    asked.onsuccess = () => done(asked.result);
  });
  base.close();
  const text = (value) => value instanceof ArrayBuffer || ArrayBuffer.isView(value) ? new TextDecoder().decode(value)
    : value && typeof value === "object" ? Object.values(value).map(text).join(" ") : String(value);
  return rows.map(text).join("\\n");
}
"""
OLDER = """
async () => {
  const base = await new Promise((done) => {
    const asked = indexedDB.open("remnants-waiting", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("waiting", { keyPath: "id", autoIncrement: true });
    asked.onsuccess = () => done(asked.result);
  });
  const parts = [["key", "from-before"], ["style", "Velder Loop"], ["width", "21"], ["length", "22"]];
  parts.push(["pile", "0"], ["place", "Bay 84"]);
  await new Promise((done) => {
    const step = base.transaction("waiting", "readwrite");
    step.objectStore("waiting").add({ address: `${location.origin}/log`, what: "a piece", parts, at: 0 });
    step.oncomplete = done;
  });
  base.close();
}
"""


def hand_over(shop: Shop, context: BrowserContext, name: str) -> None:
    """The phone is now signed in as somebody else."""
    context.clear_cookies()
    if name:
        context.add_cookies([{"name": "remnants", "value": shop.secret_of(name), "url": shop.address}])


def logged_without_signal(shop: Shop, name: str, place: str) -> Page:
    page = shop.page(name, viewport=PHONE)
    page.goto("/log")
    page.context.set_offline(True)
    page.get_by_label("Style").fill("Velder Loop")
    page.get_by_label("Across", exact=True).fill("21")
    page.get_by_label("Up", exact=True).fill("22")
    pile_up(page)
    page.get_by_label("Place").fill(place)
    page.get_by_role("button", name="Log it").click()
    expect(page.locator("#waiting")).to_contain_text("Kept on this device until there is signal: 1")
    expect(page.get_by_role("button", name="Log it")).to_be_enabled()  # for the next piece
    expect(page.locator(".pressed")).to_be_in_viewport()
    return page


def loggers(shop: Shop, place: str) -> list[str]:
    """Who logged what lies there."""
    with open_catalogue(shop.catalogue, write=False) as catalogue:
        tags = [standing.piece.tag for standing in pieces.at_place(catalogue, place)]
        return [history_of(catalogue, tag).entries[0].signed.who for tag in tags]


def arrived(shop: Shop, place: str) -> list[str]:
    """The same once something lies there: sending takes a moment, and its line is hidden before it begins, too."""
    for _ in range(LOOKS):
        if found := loggers(shop, place):
            return found
        time.sleep(0.1)
    return []


def end_all(shop: Shop, name: str) -> None:
    """Their sessions are over."""
    with open_catalogue(shop.catalogue, write=True) as catalogue:
        person = next(one for one in people.everybody(catalogue) if one.name == name)
        for session in doors.sessions_of(catalogue, person, now=utc_now()):
            doors.end_session(catalogue, person, session.number)


def asides(shop: Shop) -> None:
    """What the browser itself notes of a lost signal and of refusals."""
    noted = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "fetching the script", "Failed to fetch", "status of 4")
    shop.complaints[:] = [told for told in shop.complaints if not any(words in told for words in noted)]


def test_what_one_logged_without_signal_is_not_signed_by_another(shop: Shop) -> None:
    page = logged_without_signal(shop, "Wim", "Bay 81")
    hand_over(shop, page.context, "Maud")
    page.context.set_offline(False)
    page.goto("/find")
    waiting = page.locator("#waiting")
    expect(waiting).to_contain_text("1 entry of Wim waits on this device, not booked yet. Sign in as Wim to send it.")
    expect(waiting).not_to_contain_text("piece")
    expect(page.locator("#outbox")).to_have_text("1 waits here, not booked yet")
    assert loggers(shop, "Bay 81") == []
    lying = page.evaluate(LYING)
    assert "Wim" in lying and "Velder" not in lying and "Bay 81" not in lying and "/log" not in lying
    hand_over(shop, page.context, "Wim")
    page.goto("/find")
    expect(waiting).to_be_hidden()
    assert arrived(shop, "Bay 81") == ["Wim"]
    asides(shop)


def test_a_page_that_one_left_open_sends_nothing_as_another(shop: Shop) -> None:
    """The page is still Wim's while the phone is signed in as Maud: it is refused, and waits."""
    page = logged_without_signal(shop, "Wim", "Bay 82")
    hand_over(shop, page.context, "Maud")
    with page.expect_response("**/log") as refused:
        page.context.set_offline(False)
    assert refused.value.status == 409
    expect(page.locator("#waiting")).to_contain_text("1 (a piece)")
    assert loggers(shop, "Bay 82") == []
    hand_over(shop, page.context, "Wim")
    page.goto("/find")
    expect(page.locator("#waiting")).to_be_hidden()
    assert arrived(shop, "Bay 82") == ["Wim"]
    asides(shop)


def test_what_waits_outlives_signing_out_and_is_told_at_the_door(shop: Shop) -> None:
    page = logged_without_signal(shop, "Wim", "Bay 83")
    page.route("**/log", lambda route: route.abort())
    page.context.set_offline(False)
    page.goto("/sign-out")
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
    expect(page.locator("#waiting")).to_contain_text(
        "1 entry of Wim waits on this device, not booked yet. Sign in as Wim to send it."
    )
    assert "Bay 83" not in page.evaluate(LYING)
    assert page.evaluate("localStorage.length") == 0
    page.unroute("**/log")
    hand_over(shop, page.context, "Wim")
    page.goto("/find")
    expect(page.locator("#waiting")).to_be_hidden()
    assert arrived(shop, "Bay 83") == ["Wim"]
    asides(shop)


def test_of_what_an_older_version_kept_it_is_asked_whose_it_is(shop: Shop) -> None:
    page = shop.page(viewport=PHONE)
    page.goto("/static/mark.svg")
    page.evaluate(OLDER)
    hand_over(shop, page.context, "Wim")
    page.goto("/find")
    expect(page.locator("#waiting")).to_contain_text("an older version did not write down who made it")
    assert loggers(shop, "Bay 84") == []
    page.get_by_role("button", name="Send as Wim").click()
    expect(page.locator("#waiting")).to_be_hidden()
    assert arrived(shop, "Bay 84") == ["Wim"]
    asides(shop)


def test_a_manager_may_drop_what_somebody_made_who_never_comes_back(shop: Shop) -> None:
    page = logged_without_signal(shop, "Wim", "Bay 85")
    hand_over(shop, page.context, "Maud")
    page.context.set_offline(False)
    page.goto("/find")
    page.get_by_role("button", name="Drop what Wim made").click()
    expect(page.locator("#waiting")).to_be_hidden()
    assert loggers(shop, "Bay 85") == []
    asides(shop)


def test_what_one_typed_is_not_shown_to_another(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log")
    with page.expect_response("**/suggest?*"):  # once it was answered, nothing is under way for the one who leaves
        page.get_by_label("Style").fill("Half typed")
    hand_over(shop, page.context, "Maud")
    page.goto("/log")
    expect(page.get_by_label("Style")).to_have_value("")
    hand_over(shop, page.context, "Wim")
    page.goto("/log")
    expect(page.get_by_label("Style")).to_have_value("Half typed")


def test_a_piece_pressed_when_the_session_was_over_goes_out_with_its_photograph_after_signing_in(shop: Shop) -> None:
    out = io.BytesIO()
    Image.linear_gradient("L").resize((300, 200)).convert("RGB").save(out, "JPEG")
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log")
    page.get_by_label("Style").fill("Velder Loop")
    page.get_by_label("Across", exact=True).fill("21")
    page.get_by_label("Up", exact=True).fill("22")
    pile_up(page)
    page.get_by_label("Place").fill("Bay 86")
    page.get_by_label("Photograph").set_input_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()})
    hand_over(shop, page.context, "")
    page.get_by_role("button", name="Log it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
    expect(page.locator("#waiting")).to_contain_text("1 entry of Wim waits on this device")
    hand_over(shop, page.context, "Wim")
    page.reload()
    expect(page.locator("#went")).to_contain_text("Sent, and done: a piece.")
    expect(page.locator("#waiting")).to_be_hidden()
    assert arrived(shop, "Bay 86") == ["Wim"]
    page.locator("#went").get_by_role("link", name="Look at it").click()
    page.get_by_role("link", name="R-").first.click()
    expect(page.locator("img.photo")).to_have_count(1)
    asides(shop)


def test_scripts_off_a_piece_pressed_when_the_session_was_over_is_there_after_signing_in(shop: Shop) -> None:
    page = shop.page("Maud", viewport=PHONE, java_script_enabled=False)
    page.goto("/log")
    page.get_by_label("Style").fill("Velder Loop")
    page.get_by_label("Across", exact=True).first.fill("21")
    page.get_by_label("Up", exact=True).first.fill("22")
    pile_up(page)
    page.get_by_label("Place").fill("Bay 87")
    end_all(shop, "Maud")
    page.get_by_role("button", name="Log it").click()
    expect(page.get_by_role("status")).to_contain_text("sign in as Maud, and it is there")
    page.get_by_label("Name").fill("Maud")
    page.get_by_label("Passphrase").fill("ochre badger lantern five")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_label("Place")).to_have_value("Bay 87")
    page.get_by_role("button", name="Log it").click()
    expect(page.get_by_role("status").filter(has_text="Logged as")).to_contain_text("Velder Loop, Bay 87")
    assert arrived(shop, "Bay 87") == ["Maud"]
