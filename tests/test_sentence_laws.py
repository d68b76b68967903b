"""Laws of the question in one line: what is built of parts is read as them, and no strange word is passed over for a yes."""

import random
from typing import Any

import pytest

from remnants.exchange import read_job
from remnants.exchange.sentence import Sentence, read_sentence
from remnants.units import in_plain_marks
from tests.sentences import NAMES, NONSENSE, Spoken, spoken
from tests.thorough import EVERY

NAMED = ("name", "job", "lot")
"""What may be called by any word, and is told as that."""
SEEDS = range(0, 600, EVERY)


def read(asked: Spoken, text: str = "") -> Sentence:
    return read_sentence(text or asked.text, asked.unit, NAMES)


def near(found: Any, wanted: Any) -> bool:
    return found == wanted or (isinstance(wanted, float | int) and found == pytest.approx(wanted, rel=1e-5))


@pytest.mark.parametrize("seed", SEEDS)
def test_whatever_is_said_in_whichever_words_comes_back_as_it_was_meant(seed: int) -> None:
    asked = spoken(random.Random(seed))
    found = read(asked)
    assert (found.ask, found.unread) == ((), ()), f"{asked.text}: {found.to_tell}"
    (patch,) = found.job["patches"]
    for key, value in asked.patch.items():
        if key == "outline":
            assert _is_ell(patch["outline"], *value), f"{asked.text}: {patch['outline']}"
        else:
            assert near(patch.get(key), value), f"{asked.text}: {key} is {patch.get(key)}, not {value}"
    assert {key: found.job[key] for key in asked.job} == asked.job, asked.text
    assert set(found.job) - {"unit", "patches"} == set(asked.job), asked.text
    assert len(found.pieces) == len(asked.pieces), asked.text
    for piece, wanted in zip(found.pieces, asked.pieces, strict=True):
        assert all(near(piece.get(key), value) for key, value in wanted.items()), f"{asked.text}: {piece}, not {wanted}"
    read_job(found.job)


def _is_ell(ring: list[list[float]], width: float, length: float, corner: str) -> bool:
    level, side = corner.split()
    gone = [width if side == "right" else 0, length if level == "upper" else 0]
    xs, ys = {x for x, _ in ring}, {y for _, y in ring}
    near_gone = [point for point in ring if near(point[0], gone[0]) and near(point[1], gone[1])]
    return len(ring) == 6 and near(max(xs), width) and near(max(ys), length) and not near_gone


@pytest.mark.parametrize("seed", SEEDS)
def test_a_word_turned_into_nonsense_is_asked_about_and_never_passed_over(seed: int) -> None:
    rng = random.Random(1_000 + seed)
    asked = spoken(rng)
    plain = in_plain_marks(asked.text)
    words = plain.split(" ")
    at = rng.randrange(len(words))
    strange = rng.choice(NONSENSE)
    words[at] = strange + words[at][len(words[at].rstrip(";,")) :]
    text = " ".join(words)
    found = read(asked, text)
    named = [
        found.job["patches"][0]["name"],
        *(str(found.job.get(key)).casefold() for key in ("job", "lot")),
        *(piece["room"] for piece in found.pieces),
    ]
    heard = [each for each in found.heard if strange in each.words and each.key in NAMED]
    if not found.ask:
        assert heard and any(strange in name for name in named), f"{text}: nothing is asked about {strange}"
    else:
        kept = [*found.unread, *named, *(each.told for each in found.to_tell), *(each.words for each in found.heard)]
        assert any(strange in each for each in kept), f"{text}: {strange} is out of sight"


@pytest.mark.parametrize("seed", SEEDS)
def test_a_strange_word_said_besides_is_asked_about_wherever_it_stands(seed: int) -> None:
    rng = random.Random(2_000 + seed)
    asked = spoken(rng)
    words = in_plain_marks(asked.text).split(" ")
    at = rng.randrange(len(words) + 1)
    strange = rng.choice(NONSENSE)
    text = " ".join([*words[:at], strange, *words[at:]])
    found = read(asked, text)
    named = any(strange in each.words and each.key in NAMED for each in found.heard)
    assert found.ask or named, f"{text}: nothing is asked about {strange}"
    if "unread" in found.ask:
        assert all(any(tap.drop and tap.drop in text for tap in each.taps) for each in found.to_tell if each.key == "unread")
