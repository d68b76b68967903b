"""A shop in which things happen by dice: pieces come, are lent, held, cut, taken back, photographed, and customers forgotten."""

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

from remnants.actions import Catalogue
from remnants.actions.booking import standing_of
from remnants.actions.change_piece import correct_piece, discard_piece, move_piece
from remnants.actions.count_place import book_count, count_place
from remnants.actions.customers import forget_customer, put_customer
from remnants.actions.keep_job import cut_job, cut_plan, hold_job, release_job
from remnants.actions.log_pieces import log_pieces
from remnants.actions.photos import keep_picture, photos_of, take_photo_away
from remnants.actions.undo import undo_last
from remnants.errors import BadInput, NoPlan, NotAllowed, NotFound
from remnants.ledger import Signed
from remnants.model import Kind
from remnants.model.customer import Customer
from remnants.model.money import Money
from remnants.store import pieces
from tests.harmed import a_picture, fitted
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.store.contract.stores import contents

__all__ = ["PICTURE", "Shop", "log"]

STYLES = tuple(a_style(name, repeat=None, row_mm=None) for name in ("Velder Loop", "Harrow Twist"))
JOBS = ("Alder Court 7", "Fir Lane 2", "Elm Row 3")
PLACES = {"Bay 1": "", "Bay 2": "", "attic": "F-1", "cellar": "F-2"}
"""Places, and whose they are."""
SHAPES = ((), ((0, 0), (70, 0), (70, 30), (40, 30), (40, 60), (0, 60)), ((0, 0), (50, 10), (60, 70), (5, 60)))
PICTURE = a_picture(8, 6)


class Shop:
    """A catalogue in which things happen by dice; `done` tells what, for whoever looks for the fault."""

    def __init__(self, catalogue: Catalogue, dice: random.Random) -> None:
        self.catalogue, self.dice = catalogue, dice
        self.logged = self.day = 0
        self.done: list[str] = []
        for reference in ("F-1", "F-2"):
            put_customer(catalogue, Customer(reference, f"Person of {reference}"), signed=SIGNED)

    @property
    def signed(self) -> Signed:
        return replace(SIGNED, at=SIGNED.at + timedelta(days=self.day), why=self.dice.choice(["", f"why {len(self.done)}"]))

    def tag(self) -> str:
        return self.dice.choice(pieces.all_tags(self.catalogue) or ("none",))

    def place(self) -> tuple[str, str]:
        place = self.dice.choice(list(PLACES))
        owner = PLACES[place]
        there = {customer.reference for customer in self.customers()}
        return place, owner if owner in there else ""

    def customers(self) -> list[Customer]:
        rows = self.catalogue.query("SELECT reference FROM customer WHERE forgotten_at IS NULL ORDER BY reference")
        return [Customer(row["reference"], "") for row in rows]

    def step(self) -> None:
        """One thing happens, or is refused and changes nothing."""
        happening = self.dice.choice(HAPPENINGS)
        before = contents(self.catalogue)
        try:
            happening(self)
            self.done.append(happening.__name__)
        except (NotAllowed, NotFound, NoPlan, BadInput) as error:
            self.done.append(f"{happening.__name__}: {error}")
            assert contents(self.catalogue) == before, "what is refused changes nothing"


def log(shop: Shop) -> None:
    dice, (place, owner) = shop.dice, shop.place()
    shop.logged += 1
    kind = dice.choice([Kind.KEPT, Kind.LAID]) if owner else Kind.REMNANT
    size = (dice.randint(8, 80), dice.randint(8, 80))
    plain = a_piece(f"P-{shop.logged}", *size, outline=dice.choice(SHAPES), kind=kind, place=place)
    cost = dice.choice([None, Money(dice.randint(0, 99_999), dice.choice(["EUR", "JPY"]))])
    bought = replace(plain, cost=cost, supplier=dice.choice(["", "Invented Mill"]))
    shown = replace(bought, pile_deg=dice.choice([0, 90, 33.3]), style=dice.choice(STYLES).name)
    piece = replace(shown, customer=owner, room="north" * bool(owner))
    log_pieces(shop.catalogue, a_stock(piece, styles=STYLES), signed=shop.signed)


def log_a_tag_again(shop: Shop) -> None:
    log_pieces(shop.catalogue, a_stock(a_piece(shop.tag(), place="Bay 1"), styles=STYLES), signed=shop.signed)


def move(shop: Shop) -> None:
    place, owner = shop.place()
    move_piece(shop.catalogue, shop.tag(), place, room="south" * bool(owner), customer=owner, signed=shop.signed)


def correct(shop: Shop) -> None:
    standing = standing_of(shop.catalogue, shop.tag())
    dice = shop.dice
    style, kind = dice.choice(STYLES).name, dice.choice([standing.piece.kind, *Kind])
    piece = replace(standing.piece, lot=f"L{dice.randint(1, 9)}", worn=dice.randint(0, 4), style=style, kind=kind)
    correct_piece(shop.catalogue, piece, expected=standing.version, signed=shop.signed)


def discard(shop: Shop) -> None:
    discard_piece(shop.catalogue, shop.tag(), signed=shop.signed)


def count(shop: Shop) -> None:
    tags = {shop.tag() for _ in range(shop.dice.randint(0, 4))}
    book_count(shop.catalogue, count_place(shop.catalogue, shop.place()[0], sorted(tags)), signed=shop.signed)


def hold(shop: Shop) -> None:
    dice = shop.dice
    plan = fitted(shop.catalogue, dice.choice(JOBS), dice.randint(5, 40), dice.randint(5, 40), dice.choice(STYLES).name)
    hold_job(shop.catalogue, plan, until=shop.signed.at.date() + timedelta(days=dice.randint(0, 4)), signed=shop.signed)


def release(shop: Shop) -> None:
    release_job(shop.catalogue, shop.dice.choice(JOBS), signed=shop.signed)


def cut_held(shop: Shop) -> None:
    cut_job(shop.catalogue, shop.dice.choice(JOBS), signed=shop.signed)


def cut_at_once(shop: Shop) -> None:
    dice = shop.dice
    plan = fitted(shop.catalogue, dice.choice(JOBS), dice.randint(5, 40), dice.randint(5, 40), dice.choice(STYLES).name)
    cut_plan(shop.catalogue, plan, signed=shop.signed)


def undo(shop: Shop) -> None:
    undo_last(shop.catalogue, shop.tag(), signed=shop.signed)


def photograph(shop: Shop) -> None:
    with shop.catalogue.atomic():
        keep_picture(shop.catalogue, standing_of(shop.catalogue, shop.tag()).piece.tag, PICTURE, shop.signed)


def take_a_photograph_away(shop: Shop) -> None:
    kept = [photo.number for photo in photos_of(shop.catalogue, shop.tag()) if photo.gone_at is None]
    take_photo_away(shop.catalogue, shop.dice.choice(kept or [0]), signed=shop.signed)


def forget(shop: Shop) -> None:
    references = [customer.reference for customer in shop.customers()]
    if shop.dice.random() < 0.3 and references:
        forget_customer(shop.catalogue, shop.dice.choice(references), signed=shop.signed)


def next_day(shop: Shop) -> None:
    shop.day += 1


HAPPENINGS: tuple[Callable[[Shop], None], ...] = (
    *(log, log, log, log_a_tag_again, move, move, correct, discard, count, count, hold, hold, release, cut_held, cut_held),
    *(cut_at_once, undo, undo, undo, photograph, take_a_photograph_away, forget, next_day),
)
