"""Free words among the stock."""

import random
import statistics

import pytest

from remnants.errors import BadInput
from remnants.matching.colours import named_shade
from remnants.matching.finder import Finder, Sure
from remnants.matching.names import NameIndex
from remnants.matching.stock_names import Label
from tests.matching.noise import confused, labels, noisy

OATMEAL = Label("Velder Loop", "Oatmeal", "4471-B")
OTHER_LOT = Label("Velder Loop", "Oatmeal", "4502-A")
SLATE = Label("Velder Twist", "Slate", "771")
BERBER = Label("Harrow Berber", "Dark Sand", "88S1")
FINDER = Finder([OATMEAL, OTHER_LOT, SLATE, BERBER], [("R-0142", OATMEAL), ("R-0143", BERBER)])


@pytest.mark.parametrize(("words", "label", "reason"), [
    ("veldr loop oatmeal", OATMEAL, "style: 1 letter differs; colour: same"),
    ("velder loop oatmeal 4502-a", OTHER_LOT, "style: same; colour: same; lot: same"),
    ("oatmeal 4471 b", OATMEAL, "colour: same; lot: same"),
    ("velder loop 4471-8", OATMEAL, "style: same; lot: '4471-B' reads like it"),
    ("4472-B velder loop", OATMEAL, "style: same; lot: '4471-B', 1 character differs"),
    ("hrrw bbr dk snd", BERBER, "style: vowels dropped; colour: same"),
    ("velderloop", OATMEAL, "style: same"),
    ("vel der twist", SLATE, "style: same"),
    ("harrow berb d. sand", BERBER, "style: same; colour: 1 of 2 words; not on it: d"),
    ("oat velder", OATMEAL, "style: 1 of 2 words; colour: broken off"),
    ("R-0143", BERBER, "tag: same"),
    ("r o143", BERBER, "tag: 'R-0143' reads like it"),
])  # fmt: skip
def test_words_find_the_label_and_say_why(words: str, label: Label, reason: str) -> None:
    best = FINDER.find(words)[0]
    assert best.label == label
    assert best.reason == reason


def test_a_colour_word_on_no_label_finds_near_shades() -> None:
    """By the list of colour words: oat and beige are near oatmeal, charcoal is not; a measured shade counts before a name."""
    oat, fog, coal = Label("Marsh Loop", "Oat"), Label("Marsh Loop", "Number Nine"), Label("Marsh Loop", "Charcoal")
    shade = named_shade("oatmeal")
    assert shade
    finder = Finder([oat, fog, coal], shades={("Marsh Loop", "Number Nine"): shade.lab})
    found = finder.find("marsh oatmeal")
    assert [each.label for each in found[:2]] == [fog, oat]
    assert found[0].reason == "style: 1 of 2 words; colour: shade near 'oatmeal' (ΔE00 0, measured)"
    assert "by its name" in found[1].reason
    assert all("shade near" not in each.reason for each in found if each.label == coal)


def test_a_colour_on_a_label_is_meant_as_it_is_written() -> None:
    assert all("shade near" not in each.reason for each in FINDER.find("oatmeal"))


def test_an_exact_tag_comes_before_an_exact_lot_and_both_before_names() -> None:
    found = FINDER.find("velder loop oatmeal 88S1 R-0142")
    assert [each.sure for each in found[:3]] == [Sure.TAG, Sure.LOT, Sure.NAMES]
    assert found[1].label == BERBER


def test_the_other_lot_follows_with_its_reason() -> None:
    found = FINDER.find("velder loop oatmeal 4471-B")
    assert [each.label for each in found[:2]] == [OATMEAL, OTHER_LOT]
    assert found[1].reason.endswith("lot: other")


@pytest.mark.parametrize("words", ["", "   ", "--", "zzzzqq", "'; DROP TABLE pieces; --", '" OR *', "\x00", "9" * 400, "%_%"])
def test_words_on_no_label_find_nothing(words: str) -> None:
    assert FINDER.find(words) == ()


def test_an_overlong_query_is_refused() -> None:
    with pytest.raises(BadInput, match="10,000 characters"):
        FINDER.find("x" * 10_000)


def test_an_empty_stock_finds_nothing() -> None:
    assert Finder([]).find("velder loop") == ()


def test_the_shortlist_loses_nothing_that_a_full_scan_finds() -> None:
    rng = random.Random(5)
    names = [f"{style} {colour} {lot}" for style, colour, lot in labels(6000, rng)]
    index = NameIndex(names)
    everything = range(len(names))
    for row in rng.sample(everything, 60):
        query = noisy(names[row], rng)
        best = sorted(index.scores(query, everything), reverse=True)[:5]
        assert [hit.score for hit in index.search(query, 5)] == pytest.approx(best, abs=1e-6)


@pytest.mark.parametrize("with_lot", [True, False])
def test_noise_made_from_a_seed_is_seen_through(with_lot: bool, capsys: pytest.CaptureFixture[str]) -> None:
    """Recall: what was meant is in the first five; precision: the first is right whenever its score is 0.8 or more.

    Without a lot typed, what is meant is the style and colour.
    """
    rng = random.Random(20)
    stock = [Label(*each) for each in labels(5000, rng)]
    finder = Finder(stock)
    told = []
    for label in rng.sample(stock, 300):
        typed = noisy(f"{label.style} {label.colour}", rng, rng.choice([1, 2])) + f" {confused(label.lot, rng)}" * with_lot
        found = finder.find(typed, 5)
        hits = [each.label == label if with_lot else each.label[:2] == label[:2] for each in found]
        told.append((any(hits), hits[:1] == [True], found[0].score if found else 0.0))
    recall5, recall1 = (statistics.mean(row[at] for row in told) for at in (0, 1))
    sure = [right for _, right, score in told if score >= 0.8]
    precision = statistics.mean(sure)
    with capsys.disabled():
        what = "with lot" if with_lot else "names alone"
        print(f"\nnoise, {what}: recall@1 {recall1:.3f}, recall@5 {recall5:.3f}, precision {precision:.3f} of {len(sure)} sure")
    assert recall5 >= 0.98
    assert recall1 >= 0.95
    assert precision >= 0.99
    assert len(sure) >= 240
