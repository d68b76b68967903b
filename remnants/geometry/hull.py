"""The convex hull of places on the grid of whole micrometres."""

__all__ = ["grid_hull"]


def grid_hull(points: list[tuple[int, int]]) -> list[list[int]]:
    """Convex hull of grid points, counter-clockwise."""
    ordered = sorted(set(points))

    def chain(walk: list[tuple[int, int]]) -> list[tuple[int, int]]:
        kept: list[tuple[int, int]] = []
        for point in walk:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 0:
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return [list(point) for point in chain(ordered) + chain(ordered[::-1])]


def _turn(a: tuple[int, int], b: tuple[int, int], c: tuple[int, int]) -> int:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
