"""A little invented stock for the pages' tests, in inches."""

import json

__all__ = ["STOCK"]

STOCK = json.dumps(
    {
        "unit": "in",
        "styles": [
            {"name": "Velder Loop", "construction": "loop", "roll_width": 144},
            {"name": "Harrow Twist", "construction": "cut", "roll_width": 157.5},
        ],
        "pieces": [
            {"tag": "R-0001", "kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B", "width": 48,
             "length": 66, "pile": 0, "place": "Bay 3"},
            {"tag": "R-0002", "kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "lot": "9002-A", "width": 30,
             "length": 20, "pile": 0, "place": "Bay 3", "worn": 1},
            {"tag": "L-0001", "kind": "laid", "style": "Harrow Twist", "colour": "Slate", "lot": "771", "width": 31.5,
             "length": 60, "place": "Alder Court 7", "room": "closet", "pile": 0},
            {"tag": "O-0007", "kind": "offcut", "style": "Harrow Twist", "colour": "Slate", "lot": "771",
             "outline": [[0, 0], [60, 0], [60, 20], [24, 20], [24, 50], [0, 50]], "pile": 0, "place": "Bay 1"},
        ],
    }
)  # fmt: skip
