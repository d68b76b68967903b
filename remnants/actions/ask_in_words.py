"""A question in one line: understood by the names on hand, and answered with the carpet that it tells of beside the stock."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from remnants.actions.fit_job import Offer, names_of, names_on_hand, offer_in_hand, offer_of
from remnants.actions.log_pieces import free_tags
from remnants.belonging import same_floor
from remnants.exchange import Stock, read_job, read_stock
from remnants.exchange.sentence import Sentence, ToTell, in_own_words, read_sentence
from remnants.model import Job, Kind, Piece, Style
from remnants.rules import AT_FIRST, ShopRules
from remnants.store import Catalogue, styles
from remnants.units import Unit

__all__ = [
    "job_understood",
    "offer_with_told",
    "pieces_understood",
    "told_pieces",
    "understood",
    "understood_in_hand",
    "with_free_tags",
    "with_its_house",
    "with_told",
]

NAME_ALONE = "nothing is known of {} but its name: it is taken for cut pile without a pattern. Log the style if it has one"
"""What is said of a style that is told with a question and that nobody has logged."""

_IN_THE_HOUSE = frozenset({Kind.LAID.value, Kind.KEPT.value})


def understood(catalogue: Catalogue, text: str, unit: Unit) -> Sentence:
    """What the sentence says, its carpet looked up in the catalogue; bare figures in `unit`. Raises BadInput."""
    _, names = names_on_hand(catalogue, styles.all_styles(catalogue))
    return read_sentence(text, unit, names)


def understood_in_hand(stock: Stock, text: str, unit: Unit) -> Sentence:
    """What the sentence says, its carpet looked up in a stock in hand. Raises BadInput."""
    return read_sentence(text, unit, names_of(stock))


def job_understood(sentence: Sentence, rules: ShopRules = AT_FIRST) -> Job:
    """The job that the sentence asks for. Raises BadFile, in the sentence's words, while something is still to be told."""
    with in_own_words(sentence):
        return read_job(sentence.job, rules=rules)


def pieces_understood(sentence: Sentence, house: str, known: Mapping[str, Style]) -> tuple[Piece, ...]:
    """The carpet that the sentence tells of. Raises BadFile, in the sentence's words."""
    if not sentence.pieces:
        return ()
    with in_own_words(sentence):
        return told_pieces({"unit": sentence.job["unit"], "pieces": list(sentence.pieces)}, house, known)


def with_free_tags(catalogue: Catalogue, sentence: Sentence) -> Sentence:
    """The sentence with tags that no piece has for the carpet that it tells of, so that it can be logged as it stands."""
    free = {kind: free_tags(catalogue, kind) for kind in Kind}
    return replace(sentence, pieces=tuple({**piece, "tag": next(free[Kind(piece["kind"])])} for piece in sentence.pieces))


def with_its_house(sentence: Sentence) -> Sentence:
    """The sentence as it can be logged: it asks for the house of carpet that lies or is kept with somebody, where it tells none.

    A floor of no house would be offered to every job as one of its own house.
    """
    kept = [str(piece["room"]) for piece in sentence.pieces if piece["kind"] in (Kind.LAID, Kind.KEPT)]
    if "job" in sentence.job or not kept:
        return sentence
    house = ToTell("job", f"the house in which {' and '.join(kept)} lies, to log it: job and its address")
    return replace(sentence, to_tell=(*sentence.to_tell, house))


def offer_with_told(stock: Stock | Catalogue, job: Job, sentence: Sentence, *, today: date) -> Offer:
    """What a stock offers for the job, and with it the carpet that the sentence tells of, which is in no stock yet.

    Raises BadInput, in the sentence's words, where the job names tags that no piece has.
    """
    with in_own_words(sentence):
        offer = offer_in_hand(stock, job) if isinstance(stock, Stock) else offer_of(stock, job, today=today)
    known = {style.name: style for style in offer.stock.styles}
    return with_told(offer, pieces_understood(sentence, job.house, known))


def with_told(offer: Offer, told: Sequence[Piece]) -> Offer:
    """What is offered, and with it carpet that is in no stock: a floor that is there already counts as it was told now.

    Of a style that nobody knows it is said that it is taken for plain goods.
    """
    there = {piece.tag for floor in told for piece in offer.stock.pieces if same_floor(piece, floor)}
    new = dict.fromkeys(piece.style for piece in told if piece.style not in offer.stock.style_of)
    both = offer.but(there).beside(told)
    return replace(both, notes=(*both.notes, *(NAME_ALONE.format(style) for style in new)))


def told_pieces(file: Mapping[str, Any], house: str, known: Mapping[str, Style]) -> tuple[Piece, ...]:
    """The pieces that a sentence tells of, in a stock file's words: what lies or is kept with somebody, in the job's house.

    Raises BadFile.
    """
    pieces = [({"place": house} if piece.get("kind") in _IN_THE_HOUSE else {}) | dict(piece) for piece in file["pieces"]]
    return read_stock({"unit": file["unit"], "pieces": pieces}, known=known).pieces
