"""The customer's own page of a job: a link that ends, what stands there, and the agreement that is signed on it.

Whoever has the link reads what `customer_text` and the lay drawings tell, and nothing else. The secret is 256 random bits; the
catalogue holds its digest alone. One link a job; a new one ends the old one, and each is signed once.
"""

import hashlib
import json
import secrets
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from remnants.actions.door_book import note
from remnants.actions.fitted import Fitted
from remnants.actions.job_names import number_text, row_of
from remnants.actions.keep_job import KeptJob, State, find_job
from remnants.actions.make_sheet import held_plan, own_texts, plan_as_cut
from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.actions.shop_rules import own_rules
from remnants.actions.tries import digest
from remnants.days import day_words
from remnants.errors import BadInput, Fault, NotAllowed, NotFound, StockChanged
from remnants.exchange import answer_json
from remnants.ledger import Stage
from remnants.limits import PERSON_CHARACTERS
from remnants.model import Plan
from remnants.model.agreement import Agreement
from remnants.model.door_line import DoorKind
from remnants.model.drawn_name import read_strokes
from remnants.report.customer import Texts, customer_text
from remnants.report.customer_view import CustomerView, customer_view
from remnants.store import Catalogue, agreements, pieces, styles
from remnants.store.agreements import CustomerLink
from remnants.units import Unit

__all__ = [
    "NOTHING",
    "CustomerLink",
    "CustomerPage",
    "Signing",
    "agreed_of",
    "end_link",
    "link_of",
    "make_link",
    "page_by",
    "plan_digest",
    "sign",
]

NOTHING = "nothing is shown at this address: the link has ended, or it was never one. Ask the shop for a new one"
_RULED = "__"
"""A line with it is one to write on, for paper alone."""


@dataclass(frozen=True)
class CustomerPage:
    """What a customer's link shows: the text to the letter and its digest, and the plan to be drawn (None: it is being changed).

    `agreed` is what was signed, to this plan or to another one.
    """

    job: int
    called: str
    plan: str
    unit: Unit
    text: str = ""
    view: CustomerView | None = None
    fitted: Fitted | None = None
    agreed: Agreement | None = None

    @property
    def digest(self) -> str:
        """SHA-256 of the text."""
        return text_digest(self.text)

    @property
    def other_plan(self) -> bool:
        """True where what was signed was another plan than the one now."""
        return self.agreed is not None and self.agreed.plan != self.plan


@dataclass(frozen=True, slots=True)
class Signing:
    """What a customer sends: their name, how they drew it or that they `ticked` instead, the digest of what they read."""

    name: str
    strokes: str
    ticked: bool
    read: str


def make_link(catalogue: Catalogue, job: str, *, by: str, now: datetime) -> tuple[str, CustomerLink]:
    """The secret of a new link to the customer's page of a job, and the link; the older one ends.

    Raises NotFound; NotAllowed for a job that was let go.
    """
    with catalogue.atomic():
        kept, number = find_job(catalogue, job), row_of(catalogue, job).number
        if kept.stage is State.RELEASED:
            raise NotAllowed(f"{kept.label!r} was let go, so there is no plan to show; hold it again first")
        secret = secrets.token_urlsafe(32)
        link = CustomerLink(number, digest(secret), by, now + timedelta(days=own_rules(catalogue).link_days))
        agreements.put_link(catalogue, link)
    note(
        catalogue,
        DoorKind.LINK,
        by,
        what=f"made, to the customer's page of {number_text(number)}, until {day_words(link.ends_at)}",
    )
    return secret, link


def end_link(catalogue: Catalogue, job: str, *, by: str) -> None:
    """Ends a job's link at once. Raises NotFound; NotAllowed where there is none."""
    with catalogue.atomic():
        number = row_of(catalogue, job).number
        if not agreements.drop_link(catalogue, number):
            raise NotAllowed("no link to the customer's page is open; it had ended already")
    note(catalogue, DoorKind.LINK, by, what=f"ended, to the customer's page of {number_text(number)}")


def link_of(catalogue: Catalogue, job: str, *, now: datetime) -> CustomerLink | None:
    """The link of a job, while it holds. Raises NotFound."""
    return agreements.link_of_job(catalogue, row_of(catalogue, job).number, now=now)


def agreed_of(catalogue: Catalogue, job: str) -> tuple[Agreement, ...]:
    """What was agreed to of a job, the newest first. Raises NotFound."""
    return agreements.agreements_of(catalogue, row_of(catalogue, job).number)


def page_by(catalogue: Catalogue, secret: str, *, now: datetime) -> CustomerPage:
    """What the link of that secret shows. Raises NotFound, in the same words whatever is wrong with the link."""
    link = _opened(catalogue, secret, now=now)
    kept = find_job(catalogue, number_text(link.job))
    if kept.stage is State.RELEASED:
        raise NotFound(NOTHING)
    signed, plan = agreements.agreed_by_link(catalogue, link.digest), plan_digest(kept.plan)
    earlier = next(
        (each for each in agreements.agreements_of(catalogue, link.job) if each.plan == plan and not each.erased), None
    )
    page = CustomerPage(link.job, kept.job.name, plan, Unit(kept.job.unit), agreed=signed or earlier)
    try:
        fitted = _planned(catalogue, kept)
    except StockChanged:
        return page
    text = customer_text(fitted.plan, fitted.job, pieces=fitted.pieces, texts=_for_the_glass(own_texts()), unit=page.unit)
    return replace(page, text=text, fitted=fitted, view=customer_view(fitted.plan, fitted.job, fitted.pieces))


def sign(catalogue: Catalogue, secret: str, signing: Signing, *, now: datetime) -> Agreement:
    """Writes down the agreement of whoever has the link: who, when, to which plan, and the text that they read.

    Raises NotFound as `page_by`; BadInput for a name or lines that are none, and where they neither drew nor ticked; NotAllowed
    where it was signed already, or the text has changed since they read it.
    """
    page, key = page_by(catalogue, secret, now=now), digest(secret)
    if page.agreed is not None:
        raise NotAllowed("this was signed already")
    if page.view is None or signing.read != page.digest:
        raise NotAllowed("the plan was changed while you read it, so nothing was signed. Read it again, then sign")
    name, strokes = _name(signing.name), read_strokes(signing.strokes)
    if not (strokes or signing.ticked):
        raise BadInput([Fault("ticked", "draw your name in the field, or tick the box to sign by your typed name")])
    agreed = Agreement(0, page.job, page.plan, name, strokes, page.text, page.digest, now)
    with catalogue.atomic():
        _opened(catalogue, secret, now=now)
        if plan_digest(find_job(catalogue, number_text(page.job)).plan) != page.plan:
            raise NotAllowed("the plan was changed while you read it, so nothing was signed. Read it again, then sign")
        if agreements.agreed_by_link(catalogue, key):
            raise NotAllowed("this was signed already")
        agreements.add_agreement(catalogue, agreed, link=key)
    note(catalogue, DoorKind.LINK, "", what=f"used: the customer agreed to the plan of {number_text(page.job)}")
    return agreed


def plan_digest(plan: Plan) -> str:
    """Stands for the parts of a plan: the same ones from the same places have the same one."""
    parts = [patch["parts"] for patch in answer_json(plan)["patches"]]
    return text_digest(json.dumps(parts, sort_keys=True))


def text_digest(text: str) -> str:
    """SHA-256 of a text, in hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def _opened(catalogue: Catalogue, secret: str, *, now: datetime) -> CustomerLink:
    link = agreements.open_link(catalogue, digest(secret), now=now)
    if link is None:
        raise NotFound(NOTHING)
    return link


def _planned(catalogue: Catalogue, kept: KeptJob) -> Fitted:
    """The job's plan, proved, with its donors alone. Raises StockChanged."""
    if kept.stage is State.CUT:
        return plan_as_cut(catalogue, kept.plan, kept.job, versions=kept.versions)
    found = pieces.standings_tagged(catalogue, sorted(kept.versions))
    by_tag = {tag: standing.piece for tag, standing in found.items() if standing.stage in (Stage.STOCKED, Stage.HELD)}
    return held_plan(kept.plan, kept.job, by_tag=by_tag, by_name=styles.all_styles(catalogue))


def _for_the_glass(texts: Texts) -> Texts:
    """The templates without the lines that are written on with a pen."""
    lines = [line for line in texts.agreement.splitlines() if _RULED not in line]
    return replace(texts, agreement="\n".join(lines))


def _name(text: str) -> str:
    name = " ".join(text.split())
    if not name or len(name) > PERSON_CHARACTERS or not name.isprintable():
        raise BadInput([Fault("name", f"type your name: 1 to {PERSON_CHARACTERS} letters")])
    refuse_unseen_marks(name=name)
    return name
