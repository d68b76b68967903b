"""What is worked out beside the pages: the answer to a patch page, the plan for a job, an order. Plain values for a process.

Each names the catalogue and tells what is asked as text; with the state of the stock and the day, that is its key.
"""

import hashlib
import json
import time
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import partial
from typing import Any

from remnants.actions import Catalogue, CatalogueAt, open_catalogue
from remnants.actions.estimate_house import estimate_house
from remnants.actions.estimate_job import Estimate, held_repairs, stock_mark
from remnants.actions.fit_in_time import donors_alone, fit_in_time, is_cut_short
from remnants.actions.fit_job import Fitted
from remnants.actions.log_pieces import known_styles
from remnants.actions.order_house import plans_called
from remnants.actions.order_rooms import Limits
from remnants.actions.photos import kept_picture
from remnants.actions.propose_in_time import proposals_in_time
from remnants.actions.propose_job import Proposed
from remnants.actions.search_on_cluster import search_on_cluster
from remnants.actions.shop_rules import least_sizes
from remnants.actions.why_not import why_not_of
from remnants.exchange import job_json, read_job
from remnants.exchange.house import HouseAsked
from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.sent_drawing import layers_of_sent, rooms_of_sent
from remnants.limits import FIT_SECONDS
from remnants.model import DamagedJob, Job, Role, WhyNot
from remnants.model.house_plan import CarpetPlan
from remnants.model.picture import Picture
from remnants.question import How, Stop, here
from remnants.units import Unit
from remnants_web.beside import marked, pieces_beside
from remnants_web.jobs import Answer, answers

__all__ = [
    "ORDER_SECONDS",
    "AnswerAsked",
    "DrawingSent",
    "OfStock",
    "OrderAsked",
    "OutlinesAsked",
    "PictureSent",
    "PlanAsked",
    "Warming",
    "WhyNotAsked",
    "Worked",
    "answer_on_cluster",
    "key_of",
]

NOON = datetime.min.replace(hour=12).time()

LARGE = 8
"""Patches from which a job may take more than a second."""

ORDER_SECONDS = 8
"""Longest search for one order; the page says so."""

ORDER_TRIES = 400
"""Enough for a house; it ends most searches first, so that the same answer comes each time."""


@dataclass(frozen=True)
class Worked:
    """An estimate for each carpet, and the house that they answer."""

    asked: HouseAsked
    estimates: tuple[Estimate, ...]

    @property
    def plans(self) -> tuple[CarpetPlan, ...]:
        """The order to take of each carpet."""
        return plans_called(self.asked, [each.best for each in self.estimates])


@dataclass(frozen=True)
class PlanAsked:
    """The plan for a job on a day. `own` is what the ledger calls it; `ways` asks for others beside it."""

    catalogue: CatalogueAt
    job: Job
    today: date
    own: str | None = None
    ways: bool = False

    @property
    def large(self) -> bool:
        """Whether it may take more than a second."""
        return len(self.job.patches) >= LARGE

    @property
    def text(self) -> str:
        """What is asked."""
        return json.dumps(["plan", self.job.name, job_json(self.job), self.own, self.ways], sort_keys=True)

    def answer(self, stop: Stop, how: How = here) -> Fitted:
        """The plan with its donors. Raises as `fit_job`."""
        with _on_the_day(self) as opened:
            own, ways = self.own, self.ways
            fitted = fit_in_time(opened, self.job, today=self.today, own=own, ways=ways, seconds=FIT_SECONDS, stop=stop, how=how)
            return donors_alone(fitted)

    def is_cut_short(self, answer: Fitted) -> bool:
        """Whether its time was over before its search."""
        return is_cut_short(answer)


@dataclass(frozen=True)
class AnswerAsked:
    """The ways to make a job as a page shows them to people of a role, drawn in a unit. `file` is the job as a file's text,
    `beside` a stock file's of carpet that counts for this answer alone.
    """

    catalogue: CatalogueAt
    file: str
    job: Job
    unit: Unit
    role: Role
    today: date
    beside: str = ""

    @property
    def large(self) -> bool:
        """Whether it may take more than a second."""
        return len(self.job.patches) >= LARGE

    @property
    def text(self) -> str:
        """What is asked."""
        return json.dumps(["answer", self.file, self.unit, self.role, self.beside])

    def answer(self, stop: Stop, how: How = here) -> tuple[Answer, ...]:
        """The ways, the recommended one first. Raises BadInput at the form's fields, and as `fit_job`."""
        with _on_the_day(self) as opened:
            beside, asked = pieces_beside(opened, self.job, self.beside), (self.job, self.file, self.unit)
            found = answers(opened, *asked, role=self.role, today=self.today, stop=stop, how=how, beside=beside)
            return marked(found, beside)

    def is_cut_short(self, answer: tuple[Answer, ...]) -> bool:
        """Whether its time was over before its search."""
        return any(is_cut_short(each.fitted) for each in answer)


@dataclass(frozen=True)
class WhyNotAsked:
    """Why the piece of a tag isn't the choice for a job, and the least that would make it so."""

    catalogue: CatalogueAt
    job: Job
    tag: str
    today: date

    @property
    def large(self) -> bool:
        """Whether it may take more than a second."""
        return len(self.job.patches) >= LARGE

    @property
    def text(self) -> str:
        """What is asked."""
        return json.dumps(["why not", self.tag, job_json(self.job)], sort_keys=True)

    def answer(self, stop: Stop, how: How = here) -> WhyNot:
        """What is to be said of it. Raises BadInput where no piece has the tag, and as `fit_job`."""
        with _on_the_day(self) as opened:
            fitted = fit_in_time(opened, self.job, today=self.today, seconds=FIT_SECONDS, stop=stop, how=how)
            return why_not_of(opened, self.job, self.tag, fitted.plan, today=self.today, stop=stop, how=how)


@dataclass(frozen=True)
class OutlinesAsked:
    """Where the patches of a job should end that are told by their damage. `file` is the job as a file's text."""

    catalogue: CatalogueAt
    file: str
    asked: DamagedJob
    today: date

    @property
    def large(self) -> bool:
        """Many outlines are looked at for each."""
        return True

    @property
    def text(self) -> str:
        """What is asked."""
        return json.dumps(["outlines", self.file, job_json(self.asked.job)], sort_keys=True)

    def answer(self, stop: Stop, how: How = here) -> tuple[Proposed, ...]:
        """The outlines, the recommended one first. Raises as `proposals_of`."""
        with _on_the_day(self) as opened:
            return proposals_in_time(opened, self.asked, today=self.today, seconds=FIT_SECONDS, stop=stop, how=how)

    def is_cut_short(self, answer: tuple[Proposed, ...]) -> bool:
        """Whether its time was over before its search."""
        return any(is_cut_short(each.fitted) for each in answer)


@dataclass(frozen=True)
class OrderAsked:
    """The order for rooms and repairs; `held` names a job whose repairs are held already. `file` tells the rooms as text."""

    catalogue: CatalogueAt
    file: str
    rooms: HouseAsked = field(repr=False)
    repairs: Job | None
    held: str
    today: date

    @property
    def large(self) -> bool:
        """It searches for as long as it is given."""
        return True

    @property
    def text(self) -> str:
        """What is asked."""
        repairs = job_json(self.repairs) if self.repairs else None
        return json.dumps(["order", self.file, repairs, self.held], sort_keys=True)

    def answer(self, stop: Stop, how: How = here) -> Worked:
        """The order. Raises as `estimate_job`."""
        limits = Limits(seconds=ORDER_SECONDS, tries=ORDER_TRIES, clock=time.monotonic, stop=stop)
        with _on_the_day(self) as opened:
            held = held_repairs(opened, self.held) if self.held else None
            found = estimate_house(opened, self.rooms, repairs=self.repairs, held=held, today=self.today, limits=limits, how=how)
            return Worked(self.rooms, found)


@dataclass(frozen=True)
class PictureSent:
    """A photograph that was sent, to be drawn anew."""

    photo: bytes = field(repr=False)

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(self.photo).hexdigest()

    def answer(self, stop: Stop) -> Picture:
        """The picture as it is kept. Raises BadFile."""
        return kept_picture(self.photo)


@dataclass(frozen=True)
class DrawingSent:
    """A drawing of rooms that was sent, by its name; what was said of it, and the reader's unit. Or its `layers` alone."""

    data: bytes = field(repr=False)
    name: str
    said: PlanSaid
    reader: Unit
    layers: bool = False

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(self.data + repr(self).encode("utf-8", "surrogatepass")).hexdigest()

    def answer(self, stop: Stop) -> Any:
        """The rooms file in it, and what was left out; or its layers. Raises BadFile."""
        if self.layers:
            return layers_of_sent(self.data, self.said.page)
        return rooms_of_sent(self.data, self.name, self.said, self.reader)


@dataclass(frozen=True)
class Warming:
    """What whoever works out questions is asked first: what it reads and loads is then at hand for the next."""

    catalogue: CatalogueAt
    today: date

    def answer(self, stop: Stop, how: How = here) -> None:
        """Makes a patch of some style in stock, and throws the answer away."""
        with _on_the_day(self) as opened:
            style = next(iter(known_styles(opened)), "any")
            file = json.dumps({"unit": "mm", "style": style, "patches": [{"width": 500, "length": 500, "pile": 0}]})
            answers(opened, read_job(file), file, Unit.MM, role=Role.LOOK, today=self.today, stop=stop, how=how)


OfStock = PlanAsked | AnswerAsked | WhyNotAsked | OutlinesAsked | OrderAsked
"""What is asked of the stock as it is."""


def answer_on_cluster(question: OfStock | Warming, stop: Stop, *, address: str) -> Any:
    """The answer; the catalogue is read here, and what is searched for is worked out on a Dask cluster. Raises as both do."""
    return question.answer(stop, partial(search_on_cluster, address=address))


def _on_the_day(question: OfStock | Warming) -> AbstractContextManager[Catalogue]:
    """The catalogue, holds looked at by the day of the question."""
    noon = datetime.combine(question.today, NOON, UTC)
    return open_catalogue(question.catalogue, write=False, now=lambda: noon)


def key_of(catalogue: Catalogue, question: OfStock) -> str:
    """What stands for a question, the day, and the state of stock and rules: the same key has the same answer."""
    keep = least_sizes(catalogue, today=question.today)
    state = f"{stock_mark(catalogue)} {question.today} {keep!r} {question.catalogue}"
    return hashlib.sha256(f"{state}\n{question.text}".encode("utf-8", "surrogatepass")).hexdigest()
