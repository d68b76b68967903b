"""Customers who have carpet of ours: who they are, and forgetting them while the carpet stays."""

from dataclasses import asdict, dataclass

from remnants.actions.booking import once
from remnants.actions.door_book import note
from remnants.actions.job_names import number_text
from remnants.actions.kept_orders import forget_in_orders
from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.errors import NotFound
from remnants.ledger import Signed, Standing
from remnants.model.customer import Customer
from remnants.model.door_line import DoorKind
from remnants.store import Catalogue, agreements, customers, job_photos, pieces, traces
from remnants.store.jobs import call_customer

__all__ = [
    "Forgotten",
    "customer_pieces",
    "every_customer",
    "forget_customer",
    "forgetting_takes_long",
    "kept_pieces",
    "put_customer",
]

MANY_PIECES = 50_000
"""Of more, every entry is looked through and the file written anew for a second or longer."""


def put_customer(catalogue: Catalogue, customer: Customer, *, signed: Signed, key: str = "") -> str:
    """Stores a customer, new or as they are now; gives the reference. Raises BadInput for a name with what nobody sees."""

    refuse_unseen_marks(reference=customer.reference, name=customer.name, phone=customer.phone)

    def do() -> str:
        customers.put(catalogue, customer)
        return customer.reference

    return str(once(catalogue, key, ["customer", asdict(customer)], signed, do))


def customer_pieces(catalogue: Catalogue, reference: str) -> tuple[Customer, tuple[Standing, ...]]:
    """The customer and the pieces that they have. Raises NotFound."""
    customer = customers.find(catalogue, reference)
    if customer is None:
        raise NotFound(f"no customer has the reference {reference!r}")
    return customer, tuple(standing.on(catalogue.today()) for standing in pieces.of_customer(catalogue, reference))


def kept_pieces(catalogue: Catalogue, words: str, *, most: int = 12) -> tuple[Standing, ...]:
    """Pieces kept with customers or laid at theirs, by what is known of where: place, room, or the customer's reference."""
    return pieces.with_customers(catalogue, words.strip(), most=most) if words.strip() else ()


def every_customer(catalogue: Catalogue) -> tuple[Customer, ...]:
    """All customers, by reference."""
    return customers.every_customer(catalogue)


def forgetting_takes_long(catalogue: Catalogue) -> bool:
    """Whether the stock is so large that to look for somebody's words, and to write the file anew, takes some seconds."""
    return pieces.more_than(catalogue, MANY_PIECES)


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What stays of a customer: the word that stands for them, the tags of the carpet with them, and what may still tell of them.

    `still_told` are tags of pieces in whose history, `jobs` names of jobs and `orders` numbers of saved orders in which, words of
    theirs stand that may mean something else; `reasons` are tags of pieces in whose history a reason was erased because it named
    them. `swept` is False where the file may still hold what was erased: another program has it open, or the disk is full.
    Forgetting `reference` again then sweeps it. `agreements` counts what they had agreed to, of which the name, the drawing and
    the text are erased; `photographs` those of their repairs. `unclaimed` are numbers of jobs with photographs that don't tell
    whose home they show. `orders_erased` are numbers of saved orders in which their words were erased.
    """

    reference: str
    tags: tuple[str, ...]
    still_told: tuple[str, ...]
    jobs: tuple[str, ...]
    swept: bool
    reasons: tuple[str, ...] = ()
    agreements: int = 0
    photographs: int = 0
    unclaimed: tuple[str, ...] = ()
    orders: tuple[str, ...] = ()
    orders_erased: tuple[str, ...] = ()


def forget_customer(catalogue: Catalogue, reference: str, *, signed: Signed) -> Forgotten:
    """Erases what is known of a customer, from the file too. Raises NotFound.

    Where in their home their carpet lies, and why it was written down, is erased from the entries while it was with them; and
    every reason that names them as they were written down, whosever the piece is. Of what they agreed to on their page the name,
    the drawing and the text are erased, their links end, and the photographs of their repairs are erased with their words,
    wherever the job or the name tells of them; those jobs take no more. In jobs
    the word stands for their reference; in saved orders their words are erased, and the figures stay.
    Copies made before still hold it.
    """
    with catalogue.atomic():
        customer, kept = customer_pieces(catalogue, reference)
        called = customers.forget(catalogue, customer.reference, signed)
        words = (customer.reference, customer.name, customer.phone, customer.address)
        traces.drop_unsent_telling(catalogue, words)
        reasons = customers.forget_reasons(catalogue, words)
        theirs = traces.jobs_of(catalogue, words)
        erased = agreements.erase_of(catalogue, theirs)
        photographs = job_photos.erase_of(catalogue, theirs, at=signed.at)
        job_photos.close_jobs(catalogue, theirs, at=signed.at)
        job_photos.erase_words(catalogue, words)
        unclaimed = tuple(map(number_text, job_photos.whose_is_untold(catalogue)))
        orders_erased = forget_in_orders(catalogue, words, called)
        call_customer(catalogue, customer.reference, called)
        told, jobs = traces.tags_telling(catalogue, words), traces.jobs_telling(catalogue, words)
        orders = traces.orders_telling(catalogue, words)
    swept = catalogue.sweep()
    note(catalogue, DoorKind.ERASED, signed.who, what=f"{len(kept)} pieces of theirs stay")
    tags = tuple(standing.piece.tag for standing in kept)
    return Forgotten(called, tags, told, jobs, swept, reasons, erased, photographs, unclaimed, orders, orders_erased)
