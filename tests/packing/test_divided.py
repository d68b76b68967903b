"""Items divided while they are packed: what comes out is a packing of all of each, divided as allowed; little is wasted."""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.packing import Divided, DividedProblem, Divisible, Watch, shorten_divided
from tests.thorough import share


def faults_of(problem: DividedProblem, divided: Divided) -> list[str]:
    found = []
    boxes = []
    for piece in divided.pieces:
        size = problem.items[piece.item].sizes[piece.way]
        assert size is not None
        boxes.append((piece.x, piece.y, piece.x + piece.width, piece.y + size[1]))
    if any(x < 0 or y < 0 or right > problem.width or top > divided.length for x, y, right, top in boxes):
        found.append("a piece lies outside the strip")
    if any(a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for a, b in combinations(boxes, 2)):
        found.append("two pieces overlap")
    for index, item in enumerate(problem.items):
        pieces = divided.of(index)
        size = item.sizes[pieces[0].way] if pieces else None
        if size is None or {piece.way for piece in pieces} != {pieces[0].way}:
            found.append(f"{index} is not laid in one of its ways")
            continue
        needed = size[0] + problem.seam * (len(pieces) - 1)
        if not needed <= sum(piece.width for piece in pieces) < needed + problem.step:
            found.append(f"{index} is not as wide as it must be")
        if len(pieces) > 1 and (item.whole or min(piece.width for piece in pieces) < problem.least):
            found.append(f"{index} is divided where it must not be")
    ways = {(problem.items[piece.item].turn, piece.way) for piece in divided.pieces}
    return found + ["one turn, two ways"] * (len({turn for turn, _ in ways}) < len(ways))


def test_the_second_item_is_as_wide_as_the_first_leaves() -> None:
    # 7 and 5 wide on 10: the 5 in 3 beside the 7, and what is left of it above the other's end
    items = Divisible(((7, 4),), 0), Divisible(((5, 2),), 1)
    found = shorten_divided(DividedProblem(10, items, 0, 1), shorter_than=6, bound=4, most=10, watch=Watch(tries=10))
    assert found is not None
    assert (found.length, found.divisions) == (4, 1)


def test_a_seam_costs_width() -> None:
    # 6 and 6 on 10 side by side for nothing; with a seam of 1 both pieces of the second are wider by it together
    items = Divisible(((6, 3),), 0), Divisible(((6, 3),), 1)
    for seam, widths in ((0, 12), (1, 13)):
        problem = DividedProblem(10, items, seam, 1)
        found = shorten_divided(problem, shorter_than=7, bound=6, most=10, watch=Watch(tries=10), most_divisions=1)
        assert found is not None
        assert sum(piece.width for piece in found.pieces) in (12, widths)


def test_no_more_divisions_than_told() -> None:
    items = Divisible(((7, 4),), 0), Divisible(((5, 2),), 1)
    found = shorten_divided(
        DividedProblem(10, items, 0, 1), shorter_than=7, bound=4, most=10, watch=Watch(tries=10), most_divisions=0
    )
    assert found is not None
    assert (found.length, found.divisions) == (6, 0)


def test_items_of_one_turn_are_turned_together() -> None:
    # alone the second would lie the other way
    items = Divisible(((10, 2), None), 0), Divisible(((10, 8), (8, 10)), 0)
    found = shorten_divided(DividedProblem(10, items, 0, 1), shorter_than=20, bound=10, most=10, watch=Watch(tries=10))
    assert found is not None
    assert {piece.way for piece in found.pieces} == {0}


sizes = st.tuples(st.integers(3, 60), st.integers(3, 60))


@settings(max_examples=share(60), deadline=None)
@given(
    wide=st.lists(st.tuples(sizes, st.integers(0, 2), st.booleans()), min_size=1, max_size=6),
    seam=st.integers(0, 3),
    step=st.integers(1, 3),
    most=st.none() | st.integers(0, 4),
)
def test_whatever_is_asked_a_packing_of_all_comes_out(
    wide: list[tuple[tuple[int, int], int, bool]], seam: int, step: int, most: int | None
) -> None:
    items = []
    for (width, length), turn, whole in wide:
        if whole:
            items.append(Divisible(((min(width, 39), length), None), turn + 3, whole=True))
        else:
            items.append(Divisible(((width, length), (length, width)), turn))
    problem = DividedProblem(40, tuple(items), seam, 6, step)
    top = sum(max(max(size) for size in item.sizes if size) for item in items) * 3
    found = shorten_divided(problem, shorter_than=top, bound=1, most=20, watch=Watch(tries=20), most_divisions=most)
    if found is not None:
        assert faults_of(problem, found) == []
        assert found.length < top
        assert most is None or found.divisions <= most
        assert found.length * problem.width >= problem.least_area()
