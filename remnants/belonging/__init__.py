"""Whose carpet is a piece, seen from a job, and may the job use it? Pure: a piece and a job in, an answer out."""

from remnants.belonging.allowed import divided, needed_for, why_left_alone
from remnants.belonging.asking import asking_of, asking_words, consent_words, made_good_words
from remnants.belonging.fetching import asks_from, fetch_of
from remnants.belonging.tiers import Tier, Whose, house_of, is_hidden, names_house, same_floor, taken_for_ours, tier_of, whose

__all__ = [
    "Tier",
    "Whose",
    "asking_of",
    "asking_words",
    "asks_from",
    "consent_words",
    "divided",
    "fetch_of",
    "house_of",
    "is_hidden",
    "made_good_words",
    "names_house",
    "needed_for",
    "same_floor",
    "taken_for_ours",
    "tier_of",
    "whose",
    "why_left_alone",
]
