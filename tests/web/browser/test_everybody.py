"""Every page for everybody: axe-core finds nothing in either theme, nothing scrolls sideways at 320 px or at 200 %, and so on.

The pages are those listed here, and every address that the app answers with a page: a new one is looked at by itself.
"""

import re
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from urllib.parse import quote, unquote

import axe_playwright_python
import pytest
from playwright.sync_api import BrowserContext, Page, expect

from remnants.actions import open_catalogue, people
from remnants.model import Role
from remnants.store import second_factors
from remnants_web import Settings, create_app
from remnants_web.settings import utc_now
from tests.thorough import some
from tests.web.browser.conftest import DESK, Shop

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
COLOURS = {"runOnly": ["color-contrast"]}
"""The rule that the theme makes a difference to."""

DAMAGED = "style=Harrow+Twist&width=70&length=90&damage_x_1=9&damage_y_1=0&damage_width_1=9&damage_length_1=8"

PAGES = {
    "/sign-in": "",
    "/away": "",
    "/": "Maud",
    "/patch": "Wim",
    "/patch?shape=corners&corners=0,0;40,0;40,14;0,14&pile=45": "Wim",
    "/patch?tag=none": "Wim",
    "/patch/answer?style=Harrow+Twist&width=40&length=14&pile=90": "Wim",
    "/patch/answer?style=Harrow+Twist&width=400&length=140&pile=0": "Wim",
    "/patch/answer?width=zz": "Wim",
    f"/propose/answer?{DAMAGED}&pile=0": "Wim",
    f"/propose?{DAMAGED}": "Wim",
    "/find": "Wim",
    "/find?words=velder": "Wim",
    "/pieces/O-0007": "Wim",
    "/log?logged=R-0001&seen=1&style=Velder+Loop": "Wim",
    "/racks": "Wim",
    "/racks/Bay 3": "Wim",
    "/racks/Bay 3?counted=1+R-0001": "Wim",
    "/pieces/R-0001?did=1": "Wim",
    "/count": "Wim",
    "/count/Bay 3": "Wim",
    "/dock": "Wim",
    "/dock/move?place=Bay 3&did=R-0001": "Wim",
    "/dock/size?scan=R-0001": "Wim",
    "/dock/lend?customer=K-7": "Wim",
    "/dock/receive?style=Velder+Loop&width=30&length=40&pile=0&place=Bay 3": "Wim",
    "/jobs": "Wim",
    "/order": "Wim",
    "/order?roll_width=12+ft&width_1=14+ft&length_1=16+ft&style=Velder+Loop": "Wim",
    "/order?roll_width=12+ft&width_1=3+ft&use_1=repair&width_2=zz&corner_2=ur&held=none&steps=1": "Wim",
    "/order/draw": "Wim",
    "/order/draw?name_1=Den&width_1=12+ft&length_1=9+ft&door_1=left&door_width_1=30&width_2=zz": "Wim",
    "/order/draw?name_1=Den&width_1=12+ft&length_1=9+ft&name_2=Hall&width_2=4+ft&length_2=9+ft&x_2=11+ft": "Wim",
    "/stock": "Wim",
    "/stock?style=Velder+Loop&amount=x": "Wim",
    "/me": "Maud",
    "/me/second-factor": "Maud",
    "/people": "Maud",
    "/people/Lou/reset-second-factor": "Maud",
    "/door-book": "Maud",
    "/rules": "Maud",
    "/sign-out": "Maud",
    "/nowhere": "Wim",
    "/measure?measure=log&style=Velder+Loop": "Wim",
}


NAMES = {"tag": "O-0007", "place": "Bay 3", "name": "Fern Row 2", "what": "sheet", "number": "1"}
"""What stands for a part of an address that a page is asked with."""

ASKED = '{"unit": "in", "job": "Fern Row 9", "style": "Velder Loop", "patches": [{"width": 10, "length": 9, "pile": 0}]}'
SENT: tuple[tuple[str, str, dict[str, str]], ...] = (
    ("/count", "Wim", {"place": "Bay 3", "seen R-0001": "1", "typed": "R-0005\nR-9999"}),
    ("/dock/move", "Wim", {"place": "Bay 3", "scan": "R-9999"}),
    ("/dock/back", "Wim", {"place": "Bay 3", "scan": "R-9999"}),
    ("/dock/lend", "Wim", {"customer": "K-9", "scan": "R-0001"}),
    ("/dock/size", "Wim", {"scan": "R-0001", "seen": "1", "width": "zz"}),
    ("/dock/receive", "Wim", {"style": "Velder Loop", "width": "zz", "scan": "T-1"}),
    ("/log/sheet", "Wim", {"table": "Style,Wide,Lenght,Lot\nHarow Twist,30,40,1\nVelder Loop,zz,40,1", "column Wide": "width"}),
    ("/log/sheet", "Wim", {"table": "Style,Width,Length\nHarow Twist,30,40\nVelder Loop,zz,40"}),
    ("/log", "Wim", {"style": "Veldr Loop", "width": "30", "length": "zz"}),
    ("/log", "Wim", {"style": "Velder Loop", "width": "30", "length": "zz"}),
    ("/measure", "Wim", {"lens": "wide"}),
    ("/measure/phone", "Wim", {}),
    ("/measure/phone/keep", "Wim", {}),
    ("/order", "Wim", {"rooms_file": "{"}),
    ("/patch", "Wim", {"width": "zz"}),
    ("/patch", "Wim", {"scanned": "R-0001"}),
    ("/jobs/hold", "Wim", {"job_file": ASKED, "digest": "none", "seen": '{"R-0001": 1}'}),
    ("/jobs/cut", "Wim", {"job_file": "{"}),
    ("/pieces/O-0007/photos", "Wim", {}),
    ("/jobs/J-0001/photos", "Wim", {"moment": "before"}),
    ("/pieces/O-0007/discard", "Wim", {"seen": "1"}),
    ("/me/passphrase", "Maud", {"old": "none", "passphrase": "short"}),
    ("/me/device", "Maud", {}),
    ("/me/key", "Maud", {"label": "shelf printer", "scope look": "yes", "until": "2999-01-01"}),
    ("/me/second-factor/begin", "Maud", {"passphrase": "none of hers"}),
    ("/rules", "Maud", {"hold_days": "900"}),
    ("/rules/sizes", "Maud", {"style": "Velder Loop", "least_short": "zz"}),
    ("/prices", "Maud", {"price_list": "carpet costs nothing"}),
    ("/people", "Maud", {"name": "Ida", "role": "look"}),
    ("/people", "Maud", {"name": "Wim", "role": "look"}),
    ("/people/Ida/link", "Maud", {}),
    ("/link/<secret>", "", {"passphrase": "short"}),
    ("/for/<secret>", "", {"name": "Ida"}),
    ("/jobs/J-0001/customer-link", "Wim", {}),
    ("/sign-in", "", {"name": "Wim", "passphrase": "none of his"}),
    ("/sign-in/code", "", {"half": "none", "code": "123456"}),
)
"""Pages that only answer what is sent: who sends what, and where."""

ONWARDS = {
    *(
        "/sign-out",
        "/unsent/drop",
        "/count/<path:place>/undo",
        "/jobs/<path:name>/cut",
        "/jobs/<path:name>/release",
        "/jobs/<path:name>/looked-back",
        "/jobs/<path:name>/customer-link/end",
        "/count/book",
    ),
    *("/pieces/<path:tag>/move", "/pieces/<path:tag>/undo", "/photos/<int:number>/take-away"),
    *(f"/pieces/<path:tag>/{what}" for what in ("send", "take-in", "call-back", "not-there")),
    *("/orders/save", "/orders/<int:order>/promise", "/orders/<int:order>/call-off", "/promised/<int:number>"),
    *("/job-photos/<int:number>/take-away", "/dock/undo-received", "/measure/<int:number>/throw-away"),
    "/measure/phone/<int:number>/remove",
    *("/me/preferences", "/me/sessions/<int:number>/end", "/asked/stop"),
    *("/me/branch", "/people/<name>/branch", "/jobs/<path:name>/preview"),
    *("/clear-out/<path:tag>/offer", "/clear-out/<path:tag>/keep", "/pieces/<path:tag>/undo-together"),
    *(f"/clear-alike/{what}" for what in ("discard", "offer", "move", "keep")),
    *("/people/<name>/role", "/people/<name>/shut-out", "/people/<name>/let-back"),
    *("/people/<name>/end-everything", "/me/end-everything", "/pace/empty"),
    *("/people/<name>/reset-second-factor", "/me/second-factor/codes", "/me/second-factor/remove"),
    "/me/second-factor/confirm",
    *(f"/order/{paper}.pdf" for paper in ("ticket", "quote", "supplier", "floors", "house")),
    *("/propose", "/order/order.csv", "/order/order.pdf", "/patch/said/log", "/api/fit", "/api/propose", "/api/pieces"),
    *("/api/jobs", "/api/jobs/<path:name>/cut", "/api/jobs/<path:name>/release"),
}
"""Where what is sent leads on to a page that has an address, or to a file; a refusal is told by the page of problems."""

SECRET = "secret"
SEND = """([address, fields]) => {
  const form = Object.assign(document.createElement('form'), { method: 'post', action: address });
  const field = ([name, value]) => Object.assign(document.createElement('input'), { type: 'hidden', name, value });
  form.append(...Object.entries(fields).map(field));
  document.body.append(form);
  form.submit();
}"""
LOOKS = """() => {
  const seen = (mark) => mark.checkVisibility({ visibilityProperty: true }) && !mark.closest('.unseen, .skip');
  const box = (mark) => { const own = mark.getBoundingClientRect(); return [own.width, own.height]; };
  const inText = (mark) => mark.matches('p a, li a, td a, dd a') && getComputedStyle(mark).display === 'inline';
  const all = 'a[href], button, select, summary, textarea, input:not([type=hidden]), [role=button], [role=slider]';
  const marks = [...document.querySelectorAll(all)].filter(seen);
  const aim = (mark) => mark.matches('[type=radio], [type=checkbox]') ? mark.closest('label') || mark : mark;
  const small = (mark) => !inText(mark) && box(aim(mark)).some((side) => side < 24);
  return marks.filter(small).map((mark) => mark.outerHTML.slice(0, 120));
}"""
"""Targets under 24 px (WCAG 2.2, 2.5.8, links in running text aside); a choice is aimed at by its label."""

BROKEN = """() => {
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), found = [];
  for (let text = walk.nextNode(); text; text = walk.nextNode())
    for (const held of text.data.matchAll(/[^ \\n]*\\u00a0[^ \\n]*/g)) {
      const range = document.createRange();
      range.setStart(text, held.index);
      range.setEnd(text, held.index + held[0].length);
      if (new Set([...range.getClientRects()].map((box) => Math.round(box.top))).size > 1) found.push(held[0]);
    }
  return found.slice(0, 5);
}"""
"""Texts held together by blanks that don't break, and yet on two lines: where a column is narrower than a length."""


@pytest.fixture(scope="module")
def secret(running: Shop) -> str:
    """A held job for the pages that show one, somebody with a second factor, and a link that is not used up."""
    running.complaints = []
    page = running.page("Maud")
    page.goto("/patch/answer?style=Velder+Loop&width=10&length=9&pile=0&job=Fern+Row+2")
    page.get_by_role("button", name="Hold for 14 days").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Fern Row 2")
    page.context.close()
    with open_catalogue(running.catalogue, write=True) as catalogue:
        maud = next(one for one in people.everybody(catalogue) if one.name == "Maud")
        link = people.invite(catalogue, "Lou", Role.LOOK, by=maud, now=utc_now())
        second_factors.put_pending(catalogue, "Lou", "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ")
        second_factors.confirm_factor(catalogue, "Lou", now=utc_now())
        return link


def every_path(shop: Shop, secret: str) -> list[tuple[str, str]]:
    """Each address and who asks for it: those listed, and one for each rule of the app, filled in."""
    app = create_app(Settings(shop.catalogue))
    rules = [rule for rule in app.url_map.iter_rules() if "GET" in (rule.methods or ()) and rule.endpoint != "static"]
    parts = NAMES | {SECRET: secret}
    strange = {rule.rule for rule in rules if not rule.arguments <= parts.keys()}
    assert not strange, f"tell in NAMES what stands for the parts of {strange}"
    made = [re.sub(r"<(?:\w+:)?(\w+)>", lambda part: quote(parts[part[1]], safe=""), rule.rule) for rule in rules]
    listed = set(map(unquote, PAGES))
    return [*PAGES.items(), *((path, "Maud") for path in made if unquote(path) not in listed)]


def sent(shop: Shop, secret: str) -> Iterator[tuple[str, Page]]:
    """Every page that answers what is sent, in turn: each is sent from the one before."""
    for name in dict.fromkeys(who for _, who, _ in SENT):
        context = shop.context(name, viewport=DESK)
        page = context.new_page()
        page.goto("/away")
        for path, fields in ((path, fields) for path, who, fields in SENT if who == name):
            page.set_viewport_size(DESK)
            page.emulate_media(color_scheme="light")
            address = path.replace("<secret>", secret)
            with page.expect_navigation():
                page.evaluate(SEND, [address, fields])
            page.wait_for_function("document.documentElement.classList.contains('scripted')")
            assert page.url.endswith(address), f"{path} led on to {page.url}: it belongs to PAGES"
            yield f"{path} {fields}", page
        context.close()


def opened(shop: Shop, secret: str) -> Iterator[tuple[str, Page]]:
    """Every page in turn, on a desk's screen, scripts run."""
    every = every_path(shop, secret)
    seen = 0
    for name in dict.fromkeys(who for _, who in every):
        context = shop.context(name, viewport=DESK)
        page = context.new_page()
        for path in (path for path, who in every if who == name):
            if path not in PAGES and not is_page(context, path):
                continue
            page.set_viewport_size(DESK)
            page.emulate_media(color_scheme="light")
            page.goto(path)
            page.wait_for_function("document.documentElement.classList.contains('scripted')")
            seen += 1
            yield path, page
        context.close()
    assert seen >= len(PAGES)


def is_page(context: BrowserContext, path: str) -> bool:
    """Whether there is a page at the path, and no file. Those listed are pages; to ask for them twice would take long.

    A file that is refused is told by the page of problems, each time the same one: `/nowhere` and others look at it.
    """
    answer = context.request.get(path, headers={"Accept": "text/html"})
    refused_file = not answer.ok and Path(path).suffix
    return not refused_file and "text/html" in answer.headers.get("content-type", "")


def faults(page: Page, **more: object) -> list[tuple[str, list[str]]]:
    """What axe-core finds wrong. All that it finds right stays in the page: it would be most of what is sent from there."""
    passed, violations = page.evaluate(
        """rules => axe.run(document, rules).then((told) => [
          told.passes.length, told.violations.map((each) => [each.id, each.nodes.map((node) => node.html.slice(0, 160))]),
        ])""",
        RULES | {"resultTypes": ["violations"]} | more,
    )
    assert passed
    return [(name, marks) for name, marks in violations]


def test_every_page_is_for_everybody(shop: Shop, secret: str) -> None:
    """WCAG 2.2 by axe-core in both themes; 1.4.10 reflow at 320 CSS pixels (1280 at 400 %) and at 640 (200 %); 2.5.8 targets.

    One page in three is looked at in the dark too, all where all is asked for.
    """
    found: dict[str, list[object]] = {}
    for number, (path, page) in enumerate(chain(opened(shop, secret), sent(shop, secret))):
        page.evaluate(AXE)
        wrong: list[object] = [("light", *each) for each in faults(page)]
        if some((path,), begin=number):
            page.emulate_media(color_scheme="dark")
            wrong += [("dark", *each) for each in faults(page, **COLOURS)]
        for width in (640, 320):
            page.set_viewport_size({"width": width, "height": 700})
            if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
                wrong.append(f"scrolls sideways at {width} px")
            wrong += [(f"at {width} px a length is broken", text) for text in page.evaluate(BROKEN)]
        wrong += [("small", mark) for mark in page.evaluate(LOOKS)]
        if wrong:
            found[path] = wrong
    assert not found


def test_a_length_that_a_narrow_column_breaks_is_noticed(shop: Shop) -> None:
    page = shop.page("Wim")
    page.set_content("""<p style="width: 5ch; overflow-wrap: anywhere">2'\u00a010\u00a05/16"</p><p>5'\u00a01/2"</p>""")
    assert page.evaluate(BROKEN) == ["2'\u00a010\u00a05/16\""]
    page.context.close()


def test_an_answer_that_is_looked_at_is_an_answer_and_not_its_form_again(shop: Shop) -> None:
    wim = shop.context("Wim").request
    assert not [path for path in PAGES if "/answer?" in path and wim.get(path).status != (422 if "zz" in path else 200)]


def test_every_address_that_takes_something_is_known_to_answer_with_a_page_or_to_lead_on(shop: Shop) -> None:
    rules = create_app(Settings(shop.catalogue)).url_map.iter_rules()
    taken = {rule.rule for rule in rules if "POST" in (rule.methods or ())}
    parts = {"O-0007": "<path:tag>", "Ida": "<name>", "J-0001": "<path:name>"}
    pages = {re.sub("|".join(parts), lambda part: parts[part[0]], path) for path, _, _ in SENT}
    assert taken == pages | ONWARDS


def test_in_forced_colours_what_is_chosen_is_told_apart_and_nothing_moves(shop: Shop) -> None:
    """Forced colours are those of a high contrast theme; reduced motion is asked for too."""
    page = shop.page("Wim", viewport=DESK, forced_colors="active", reduced_motion="reduce")
    for path in ("/", "/patch", "/patch/answer?style=Harrow+Twist&width=40&length=14&pile=90"):
        page.goto(path)
        moving = page.evaluate("document.getAnimations().length")
        assert moving == 0
        assert page.evaluate("matchMedia('(forced-colors: active)').matches")
    page.goto("/patch")
    borders = "([is, not]) => [is, not].map(mark => getComputedStyle(document.querySelector(mark)).borderTopColor)"
    chosen, other = page.evaluate(borders, ["label:has([name=shape]:checked)", "label:has([name=shape]:not(:checked))"])
    assert chosen != other


def test_what_has_the_focus_shows_it(shop: Shop) -> None:
    """WCAG 2.2, 2.4.7 and 2.4.13: an outline, or on a drawing a heavy stroke, wherever the tab key stops."""
    page = shop.page("Wim", viewport=DESK)
    for path in ("/", "/patch?shape=corners&corners=0,0;40,0;40,14;0,14", "/find?words=velder"):
        page.goto(path)
        page.wait_for_function("document.documentElement.classList.contains('scripted')")
        for _ in range(45):
            page.keyboard.press("Tab")
            shown = page.evaluate(
                "(() => { const mark = document.activeElement, look = getComputedStyle(mark);"
                " return mark === document.body || parseFloat(look.outlineWidth) >= 2 && look.outlineStyle !== 'none'"
                " || mark.closest('svg') !== null && parseFloat(look.strokeWidth) >= 3 || mark.outerHTML.slice(0, 120); })()"
            )
            assert shown is True


def test_thumbs_hit_buttons_and_fields(shop: Shop) -> None:
    """Buttons and fields are 44 px high at least, where WCAG 2.2 (2.5.8) asks 24."""
    page = shop.page("Wim", viewport={"width": 360, "height": 740})
    for path in ("/", "/patch", "/log", "/find", "/patch/answer?style=Harrow+Twist&width=40&length=14&pile=90"):
        page.goto(path)
        small = page.evaluate(
            "[...document.querySelectorAll('main button, main select, main input:not([type=radio], [type=checkbox])')]"
            ".filter(e => e.offsetParent && e.getBoundingClientRect().height < 44).map(e => e.outerHTML)"
        )
        assert not small
