"""A damaged file is read or refused in our own words; `python -m tests.fuzz.longer` looks on by hand for as long as is wished."""

import random

import pytest

from tests.fuzz.mutations import KINDS, Kind, damaged, refused

TRIES = 80


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_damaged_file_is_read_or_refused(kind: Kind) -> None:
    assert not refused(kind, kind.sound) or kind.name == "photo.jpg"  # a sound photograph without a grey card has no shade
    chance = random.Random(2031)
    answers = [refused(kind, damaged(kind, chance)) for _ in range(TRIES)]
    assert any(answers)
