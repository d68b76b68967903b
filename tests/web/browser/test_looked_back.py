"""A technician says after the repair what is seen: two taps from the top of the job's page, also with no signal meanwhile."""

from playwright.sync_api import expect

from tests.web.browser.conftest import PHONE, Shop, box_of
from tests.web.browser.test_everybody import AXE, RULES

ASKED = "/patch/answer?style=Velder+Loop&lot=4471-B&width=18&length=12&pile=0&job=Gorse+End+4&edge_0=wall&edge_1=seam"


def test_what_is_seen_is_told_with_two_taps_on_a_phone(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE, has_touch=True, bypass_csp=True)
    page.goto(ASKED)
    page.get_by_role("button", name="Hold for 14 days").first.click()
    page.wait_for_url("**/jobs/J-*")
    page.get_by_role("button", name="Cut: book it").click()
    page.get_by_role("link", name="After the repair: say what is seen").tap()
    plain = page.locator("#sight-2").get_by_role("button", name="Plain")
    assert box_of(plain)["height"] >= 44
    plain.tap()
    told = page.locator("#sight-2 > p").last
    expect(told).to_contain_text("By eye: plain, worse than foretold (Wim")
    expect(plain).to_have_attribute("aria-pressed", "true")

    page.context.set_offline(True)
    page.locator("#sight-2").get_by_role("button", name="Hard to find").tap()
    expect(page.locator("#waiting")).to_contain_text("1 (what is seen of a repair)")
    page.context.set_offline(False)
    expect(page.locator("#went")).to_contain_text("Sent, and done: what is seen of a repair")
    page.reload()
    expect(told).to_contain_text("By eye: hard to find, better than foretold (Wim")
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
    page.evaluate("scrollTo(0, 0)")
    page.evaluate(AXE)
    found = page.evaluate("(rules) => axe.run(document, { runOnly: rules.runOnly })", RULES)
    assert [each["id"] for each in found["violations"]] == []
    page.get_by_role("link", name="How well we foretell").click()
    expect(page.locator("main")).to_contain_text("1 looked at, 0 as foretold, 1 better, 0 worse")
