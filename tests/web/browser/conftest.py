"""The pages in a real browser: Debian's chromium, driven from here, asking a real server on the loopback."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import (
    Browser,
    BrowserContext,
    ConsoleMessage,
    FloatRect,
    Locator,
    Page,
    Playwright,
    ViewportSize,
    expect,
    sync_playwright,
)

from remnants.actions import doors, open_catalogue, people
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_stock
from remnants.model import Role
from remnants_web import Settings, create_app
from remnants_web.settings import utc_now
from tests.stock_values import SIGNED
from tests.web.served import Served
from tests.web.stock import STOCK

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

WAITS_MS = 60_000
"""How long something may take to appear: only what never does fails a test, however busy the machine."""

PHONE: ViewportSize = {"width": 360, "height": 740}
DESK: ViewportSize = {"width": 1280, "height": 860}


@pytest.fixture(scope="session")
def driver() -> Iterator[Playwright]:
    """The one that drives every browser of a run: a process can't have two."""
    expect.set_options(timeout=WAITS_MS)
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(driver: Playwright) -> Iterator[Browser]:
    browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield browser
    browser.close()


class Shop:
    """A running shop, and the ways into it."""

    def __init__(self, folder: Path, chromium: Browser) -> None:
        self.catalogue = folder / "stock.db"
        self.chromium = chromium
        with open_catalogue(self.catalogue, write=True) as catalogue:
            log_pieces(catalogue, read_stock(STOCK), signed=SIGNED)
            secret = people.first_manager_link(catalogue, now=utc_now())
            assert secret
            doors.set_passphrase_by_link(catalogue, secret, "ochre badger lantern five", name="Maud", label="desk", now=utc_now())
            people.invite(catalogue, "Wim", Role.WORK, by=people.everybody(catalogue)[0], now=utc_now())
        self.served = Served(create_app(Settings(self.catalogue)), threads=4)
        self.address = self.served.address

    def secret_of(self, name: str) -> str:
        with open_catalogue(self.catalogue, write=True) as catalogue:
            person = next(one for one in people.everybody(catalogue) if one.name == name)
            link = doors.device_link(catalogue, person, now=utc_now())
            return doors.link_device(catalogue, link, label="test", now=utc_now())

    def context(self, name: str = "", **more: Any) -> BrowserContext:
        """A browser of its own, signed in as that person or not at all."""
        context = self.chromium.new_context(base_url=self.address, **more)
        context.set_default_timeout(WAITS_MS)
        if name:
            context.add_cookies([{"name": "remnants", "value": self.secret_of(name), "url": self.address}])
        return context

    def page(self, name: str = "", **more: Any) -> Page:
        """A page in a new context; what the browser complains of fails the test."""
        page = self.context(name, **more).new_page()
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", self._hear)
        return page

    complaints: list[str]

    def _hear(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.complaints.append(f"{message.text} {message.location['url']}")

    def close(self) -> None:
        self.served.end()


def box_of(shown: Locator) -> FloatRect:
    """Where something lies on the screen (CSS pixels); what isn't shown fails the test."""
    box = shown.bounding_box()
    assert box, shown
    return box


def pile_up(page: Page) -> None:
    """Says that the pile lays up the drawing."""
    page.locator("input[name=pile][value='0']").check()


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory, chromium: Browser) -> Iterator[Shop]:
    shop = Shop(tmp_path_factory.mktemp("shop"), chromium)
    yield shop
    shop.close()


@pytest.fixture
def shop(running: Shop) -> Iterator[Shop]:
    running.complaints = []
    yield running
    for context in running.chromium.contexts:
        context.close()
    assert not running.complaints
