"""What only a real browser can show of the guards: policy, kept pages, a passphrase looked at."""

from playwright.sync_api import expect

from tests.web.browser.conftest import PHONE, Shop

KEPT = """
async () => {
  const kept = [];
  for (const name of await caches.keys()) for (const asked of await (await caches.open(name)).keys()) kept.push(asked.url);
  return kept;
}
"""


def test_a_passphrase_can_be_looked_at_while_it_is_typed(shop: Shop) -> None:
    page = shop.page(viewport=PHONE)
    page.goto("/sign-in")
    field = page.get_by_label("Passphrase")
    field.fill("ochre badger")
    expect(field).to_have_attribute("type", "password")
    page.get_by_role("button", name="Show it").click()
    expect(field).to_have_attribute("type", "text")
    page.get_by_role("button", name="Hide it").click()
    expect(field).to_have_attribute("type", "password")


def test_after_signing_out_nothing_is_left_on_the_device(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    page.goto("/pieces/O-0007")
    page.goto("/log")
    page.get_by_label("Style").fill("Half typed")
    assert any("/pieces/O-0007" in url for url in page.evaluate(KEPT))
    page.goto("/sign-out")
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
    assert not [url for url in page.evaluate(KEPT) if "/pieces/" in url]
    assert page.evaluate("localStorage.length") == 0
    page.go_back()
    expect(page.get_by_role("heading", level=1)).not_to_have_text("O-0007")


def test_the_policy_stops_a_script_that_slipped_in(shop: Shop) -> None:
    """Even if a text were not escaped, the browser would not run it."""
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/find")
    page.evaluate(
        "const s = document.createElement('script'); s.textContent = 'window.ran = true'; document.body.append(s);"
        "document.body.insertAdjacentHTML('beforeend', '<b onclick=\"window.ran = true\" id=\"bait\">x</b>');"
        "document.getElementById('bait').click();"
    )
    assert page.evaluate("window.ran") is None
    assert any("Content Security Policy" in told for told in shop.complaints)
    shop.complaints.clear()


def test_kept_pages_go_when_the_session_is_over_and_with_another_person(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_function("navigator.serviceWorker.controller !== null")

    def kept() -> list[str]:
        return [url for url in page.evaluate(KEPT) if "/pieces/" in url]

    page.goto("/pieces/O-0007")
    assert kept()
    page.context.clear_cookies()
    page.goto("/find")
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
    assert not kept()
    for name in ("Wim", "Maud"):
        page.context.clear_cookies()
        page.context.add_cookies([{"name": "remnants", "value": shop.secret_of(name), "url": shop.address}])
        page.goto("/find")
        assert not kept(), "of the one before nothing is left"
        page.goto("/pieces/O-0007")
        assert kept()
