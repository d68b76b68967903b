"""A fit asks its own branch first: what comes from a van or another branch is trouble, told and counted."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions.fit_job import Fitted, fit_offer, offer_in_hand
from remnants.belonging import fetch_of
from remnants.errors import BadInput
from remnants.exchange import Stock, answer_json, job_json, read_job
from remnants.geometry import rectangle
from remnants.model import Allowance, Fetched, Finish, Job, Kind, Patch, Wanted
from remnants.model.branches import NO_BRANCHES, Branch, Branches, Van, pair_of
from remnants.model.distance import read_distance
from tests.stock_values import IN, a_piece, a_style
from tests.thorough import share

OURS = Branches(
    (Branch("South"), Branch("North"), Branch("East"), Branch("West"), Branch("Near")),
    (Van("Van 3", "Ana", "South"), Van("Van 4", "Wim", "North")),
    {pair_of("South", "North"): read_distance("40 km", ""), pair_of("South", "East"): read_distance("25 miles", "")}
    | {pair_of("South", "Near"): read_distance("3 km", "")},
)
PLAIN = (a_style(repeat=None, row_mm=None),)


def a_job(width: float = 30, length: float = 40, *, branch: str = "South", parts: int = 2) -> Job:
    """One patch of that many inches, asked for at a branch."""
    ring = rectangle(width * IN, length * IN).ring
    patch = Patch("hall", ring, 0.0, (Finish.FREE,) * 4, Wanted("Velder Loop"), max_parts=parts)
    return Job("Alder Court 7", (patch,), Allowance(0.0), 50.0, branch=branch)


def answered(
    places: Mapping[str, str], job: Job, *, ours: Branches = OURS, sizes: Mapping[str, tuple[float, float]] | None = None
) -> Fitted:
    """What is answered from pieces of one lot, 40 x 60 in unless told, each at its place."""
    made = [replace(a_piece(tag, *(sizes or {}).get(tag, (40, 60))), place=place) for tag, place in places.items()]
    stock = Stock(PLAIN, tuple(made), branches=ours)
    return fit_offer(offer_in_hand(stock, job), job, ways=True)


def cut_from(fitted: Fitted) -> list[str]:
    """The tags that the plan cuts."""
    return sorted({part.piece for patch in fitted.plan.patches for part in patch.parts})


@pytest.mark.parametrize(
    ("places", "chosen"),
    [
        ({"A": "North Bay 1", "B": "Bay 3"}, "B"),  # the own branch first
        ({"A": "North Bay 1", "B": "Van 3"}, "B"),  # then a van of the own branch
        ({"A": "Near 2", "B": "North Bay 1"}, "A"),  # the nearer branch
        ({"A": "West 1", "B": "East 2"}, "B"),  # how far West is was never told
        ({"A": "Van 4", "B": "Bay 3"}, "B"),
    ],
)
def test_what_is_least_trouble_to_fetch_is_taken(places: Mapping[str, str], chosen: str) -> None:
    assert cut_from(answered(places, a_job())) == [chosen]


def test_from_where_it_comes_is_told_with_the_distance_as_the_shop_tells_it() -> None:
    fitted = answered({"A": "North Bay 1", "B": "East 2"}, a_job(70, 40, parts=2))
    assert cut_from(fitted) == ["A", "B"]
    assert "fetched from North, 40 km: A" in fitted.notes and "fetched from East, 25 miles: B" in fitted.notes
    assert fitted.plan.merit and fitted.plan.merit.trouble == (0, 0, 0, 0, 80, 0)
    van = answered({"A": "Van 3, roof"}, a_job())
    assert "fetched from Van 3, ask Ana: A" in van.notes
    assert "fetched from West, how far isn't told: A" in answered({"A": "West 1"}, a_job()).notes
    assert "fetched from North, in Van 4, 40 km: A" in answered({"A": "Van 4"}, a_job()).notes


def test_a_way_that_looks_worse_and_fetches_nothing_is_offered_beside_it() -> None:
    """North has one piece that makes the patch whole; here it takes a seam."""
    sizes = {"A": (40.0, 60.0), "B": (20.0, 60.0), "C": (20.0, 60.0)}
    fitted = answered({"A": "North Bay 1", "B": "Bay 3", "C": "Bay 3"}, a_job(), sizes=sizes)
    assert cut_from(fitted) == ["A"]
    first, second, *_ = fitted.ways
    assert "from North, 40 km" in first.speaks_against
    assert "nothing to fetch" in second.speaks_for
    told = answer_json(fitted.plan, fitted.ways)["ways"]
    assert [way["trouble"].get("km to other branches") for way in told[:2]] == [40, None]
    left = {passed.piece: passed.reason for passed in second.plan.passed_over}
    assert left["A"] == "not in this way: it must be fetched from elsewhere"


def test_why_a_piece_of_another_branch_is_passed_over_is_told() -> None:
    fitted = answered({"A": "North Bay 1", "B": "Bay 3"}, a_job())
    reasons = {passed.piece: passed.reason for passed in fitted.plan.passed_over}
    assert reasons["A"] == "would do, but B is nearer; this comes from North, 40 km"


def test_who_asks_is_a_branch_or_a_van_of_the_shop() -> None:
    with pytest.raises(BadInput, match="branch: no branch and no van is called 'Norht'"):
        answered({"A": "Bay 3"}, a_job(branch="Norht"))
    assert cut_from(answered({"A": "Bay 3", "B": "Van 4"}, a_job(branch="van 4"))) == ["B"]
    untold = answered({"A": "Bay 3", "B": "North 1"}, a_job(branch=""))
    assert any(note.startswith("branch: it isn't told which one asks") for note in untold.notes)
    assert not untold.plan.fetched


def test_the_job_file_tells_who_asks() -> None:
    job = a_job(branch="North")
    assert read_job(job_json(job)).branch == "North"
    assert "branch" not in job_json(a_job(branch=""))


PIECES = st.lists(
    st.tuples(st.sampled_from(("Bay 1", "North 1", "East 1", "Van 3")), st.integers(8, 40), st.integers(8, 60)),
    min_size=1,
    max_size=5,
)


def stock_of(told: Sequence[tuple[str, int, int]], ours: Branches) -> Stock:
    """Pieces of one lot at those places, of those sizes in inches."""
    made = [replace(a_piece(f"R-{number}", width, length), place=place) for number, (place, width, length) in enumerate(told)]
    return Stock(PLAIN, tuple(made), branches=ours)


@settings(max_examples=share(30), deadline=None)
@given(PIECES, st.integers(10, 50), st.integers(10, 50))
def test_with_one_branch_answers_are_as_they_were(told: list[tuple[str, int, int]], width: int, length: int) -> None:
    """One branch without vans is no branch: all that is told of an answer is the same."""
    job = a_job(width, length, branch="")
    shops = (NO_BRANCHES, Branches((Branch("South"),)))
    bare, one = (fit_offer(offer_in_hand(stock_of(told, ours), job), job, ways=True) for ours in shops)
    assert answer_json(one.plan, one.ways, bargains=one.bargains, notes=one.notes) == answer_json(
        bare.plan, bare.ways, bargains=bare.bargains, notes=bare.notes
    )


@settings(max_examples=share(12), deadline=None)
@given(PIECES, st.integers(10, 50), st.integers(10, 50))
def test_branches_never_make_an_answer_look_worse_and_the_trouble_told_is_that_of_the_cut_pieces(
    told: list[tuple[str, int, int]], width: int, length: int
) -> None:
    """What is fetched comes after what is seen; and it is counted from the plan's own pieces, worked out anew."""
    job = a_job(width, length)
    job = replace(job, patches=(job.patches[0], replace(job.patches[0], name="landing")))
    asked = ((OURS, job), (NO_BRANCHES, replace(job, branch="")))
    with_them, without = (fit_offer(offer_in_hand(stock_of(told, ours), each), each) for ours, each in asked)
    assert with_them.plan.merit and without.plan.merit
    assert with_them.plan.merit.look == without.plan.merit.look
    fetches = {fetch for tag in cut_from(with_them) if (fetch := fetch_of(with_them.pieces[tag], "South", OURS))}
    km = sum(fetch.count for fetch in fetches if fetch.how is Fetched.BRANCH)
    vans = sum(1 for fetch in fetches if fetch.how is Fetched.VAN)
    assert with_them.plan.merit.trouble == (0, 0, 0, 0, km, vans)


def test_carpet_with_customers_is_fetched_from_no_branch() -> None:
    for piece in (a_piece(kind=Kind.KEPT), a_piece(kind=Kind.LAID), a_piece(customer="F-1")):
        assert fetch_of(replace(piece, place="North 1"), "South", OURS) is None
