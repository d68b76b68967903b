"""Marker pages: printed by number, and the true length of each one's check bar kept once."""

from collections.abc import Callable, Mapping

from remnants.actions.booking import once
from remnants.actions.make_sheet import fonts
from remnants.errors import BadInput, Fault, NotMeasured
from remnants.ledger import Signed
from remnants.photo.marker_page import BAR_MM, PAGES
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.there import refuse_where_none_are_measured
from remnants.report.photo_page import PAPERS, photo_page_pdf
from remnants.store import Catalogue, photo_pages
from remnants.store.photo_pages import PhotoPage

__all__ = ["PhotoPage", "bar_of", "measured_pages", "printed_page", "refuse_no_page", "tell_bar", "untold"]

_MOST_OFF = 0.1
"""A page fitted to other paper comes out some per cent off; a bar that is off by more was not this one."""


def refuse_no_page(page: int) -> None:
    """Raises BadInput for a number that no page has."""
    if page not in PAGES:
        raise BadInput([Fault("page", f"{page} is no number of a marker page: give {PAGES[0]} to {PAGES[-1]}")])


def printed_page(page: int, paper: str) -> bytes:
    """The page of a number as PDF. Raises BadInput for no such page or paper, BadFile where what draws it is not installed."""
    refuse_no_page(page)
    if paper not in PAPERS:
        raise BadInput([Fault("paper", f"{paper[:40]!r} is no paper that it is drawn for: choose {' or '.join(PAPERS)}")])
    refuse_where_none_are_measured("page")
    return photo_page_pdf(page, fonts(), paper=paper)


def tell_bar(catalogue: Catalogue, page: int, bar_mm: float, *, signed: Signed, key: str = "") -> None:
    """Keeps how long the check bar of a page is on paper, in place of what was told before. Raises BadInput."""
    refuse_no_page(page)
    if not abs(bar_mm / BAR_MM - 1) <= _MOST_OFF:
        told = (
            f"the bar was drawn {BAR_MM:g} mm long and can't be {bar_mm:g} mm: measure it from tick to tick; where it is so, "
            "print the page again at 100 %"
        )
        raise BadInput([Fault("bar", told)])
    once(catalogue, key, ["photo page", page, bar_mm], signed, lambda: photo_pages.put(catalogue, page, bar_mm, signed))


def measured_pages(catalogue: Catalogue) -> Mapping[int, PhotoPage]:
    """The pages whose bar was told, by number."""
    return photo_pages.every_page(catalogue)


def bar_of(bars: Mapping[int, float]) -> Callable[[int], float]:
    """What gives the true length of a page's check bar (mm), or refuses where it was not told."""

    def told(page: int) -> float:
        if page not in bars:
            raise untold(page)
        return bars[page]

    return told


def untold(page: int) -> NotMeasured:
    """The refusal of a picture whose page has no true size yet."""
    return refused(
        WhyNot.BAR_UNTOLD,
        f"the true size of marker page {page} is not known: measure its check bar and tell it once, with "
        f'`remnants photo-page --page {page} --bar "149.5 mm"`',
    )
