"""Stock and job files for the commands that print a plan. All names are invented."""

from typing import Any

__all__ = ["HALL", "STOCK", "a_job"]

STYLE = {"name": "Velder Loop", "construction": "loop", "mass": 2200, "pile_height": "4 mm", "backing": "2 mm"}
PLAIN = {"style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B", "pile": 0}

STOCK: dict[str, Any] = {
    "unit": "in",
    "styles": [STYLE],
    "pieces": [
        PLAIN | {"tag": "L-1", "kind": "laid", "width": 40, "length": 20, "place": "Alder Court 7, closet"},
        PLAIN | {"tag": "R-7", "kind": "remnant", "width": 40, "length": 30, "colour": "Slate", "lot": "9", "place": "Bay 3"},
    ],
}
"""The closet piece is wide across its pile and short along it; the slate remnant is no match for a room, but fills a closet."""

HALL: dict[str, Any] = {
    "unit": "in",
    "job": "Alder Court 7",
    "style": "Velder Loop",
    "colour": "Oatmeal",
    "lot": "4471-B",
    "allowance": {"seam": 1, "wall": 1, "transition": 1},
    "min_part": 4,
    "patches": [{"name": "hall", "outline": [[0, 0], [30, 0], [30, 12], [0, 12]], "pile": 90, "edges": "seam"}],
}
"""30 x 12 in, 32 x 14 with allowance, its pile along the 30: the closet piece, 20 in along, must be joined from two parts."""


def a_job(**changes: Any) -> dict[str, Any]:
    """The hall with other figures for its patch."""
    return HALL | {"patches": [HALL["patches"][0] | changes]}
