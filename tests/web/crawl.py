"""Walking the pages as a person could: links followed, forms found, each page looked at for what has no business there."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from html.parser import HTMLParser
from urllib.parse import urlsplit

from werkzeug.test import TestResponse

from tests.web.conftest import Browser

__all__ = ["Page", "PageForm", "crawl", "read_page"]

ADDRESSES = frozenset({"href", "src", "action", "formaction", "poster", "data"})
MAY_POINT_TO = ("/", "#", "?")


@dataclass
class PageForm:
    """A form: where it goes, how, its fields with the values that they hold, and the names of its file fields."""

    action: str
    method: str
    fields: dict[str, str] = field(default_factory=dict)
    files: list[str] = field(default_factory=list)


class Page(HTMLParser):
    """A page read by a parser that knows nothing of how it was made: its links, forms, and anything that would run."""

    def __init__(self, path: str) -> None:
        super().__init__()
        self.path = path
        self.links: list[str] = []
        self.forms: list[PageForm] = []
        self.pictures: list[str] = []
        self.foreign: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.foreign += [f"<{tag} {name}={value!r}>" for name, value in given.items() if self._runs(tag, name, value)]
        if tag == "script" and not given.get("src", "").startswith("/static/"):
            self.foreign.append(f"<script {given}>")
        if tag == "a":
            self.links.append(given.get("href", ""))
        if tag == "img":
            self.pictures.append(given.get("src", ""))
        if tag == "form":
            self.forms.append(PageForm(given.get("action") or self.path, given.get("method", "get").lower()))
        if tag in ("input", "textarea", "select", "button") and self.forms and given.get("name"):
            form = self.forms[-1]
            if given.get("type") == "file":
                form.files.append(given["name"])
            elif given.get("type") not in ("radio", "checkbox") or "checked" in given:
                form.fields[given["name"]] = given.get("value", "")
            else:
                form.fields.setdefault(given["name"], given.get("value", ""))

    @staticmethod
    def _runs(tag: str, name: str, value: str) -> bool:
        """An event's attribute, an inline style, or an address that leaves the house or runs as a script."""
        if name.startswith("on") or name in ("style", "srcdoc", "ping"):
            return True
        return name in ADDRESSES and not value.startswith(MAY_POINT_TO) | (value.startswith("blob:") and tag == "img")


@lru_cache(maxsize=2)
def read_page(path: str, text: str) -> Page:
    """The page at a path; read once where it is asked for twice in turn."""
    page = Page(path)
    page.feed(text)
    page.close()
    return page


def crawl(browser: Browser, *starts: str, most: int = 250) -> Iterator[tuple[str, TestResponse]]:
    """Every page that links lead to, each way once with its first two kinds of query, and the answer that it gave."""
    ahead, met = list(starts or ("/",)), set(starts or ("/",))
    ways: dict[str, int] = {}
    while ahead and len(met) < most:
        path = ahead.pop(0)
        answer = browser.get(path)
        yield path, answer
        if answer.mimetype != "text/html":
            continue
        for link in read_page(path, answer.text).links:
            parts = urlsplit(link)
            address = f"{parts.path}?{parts.query}" if parts.query else parts.path
            ways[parts.path] = ways.get(parts.path, 0) + (address not in met)
            if address.startswith("/") and address not in met and ways[parts.path] <= 2:
                met.add(address)
                ahead.append(address)
