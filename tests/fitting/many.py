"""Job and stock files of many patches and pieces, as dicts, in inches."""

from typing import Any

__all__ = ["a_job", "contest", "scraps"]


def scraps(count: int) -> dict[str, Any]:
    """Pieces S-0, S-1 and so on, each larger than the one before and large enough for one patch of `a_job`, not for two."""
    plain = {"kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B", "pile": 0}
    pieces = [plain | {"tag": f"S-{index}", "width": 32 + index, "length": 22 + index} for index in range(count)]
    return {"unit": "in", "styles": [{"name": "Velder Loop", "construction": "loop"}], "pieces": pieces}


def a_job(name: str, patches: int, **changes: Any) -> dict[str, Any]:
    """So many patches of 30 x 20 in, 1 in allowance all round, whole or not at all unless `changes` say otherwise."""
    patch = {"width": 30, "length": 20, "pile": 0}
    asked = {"unit": "in", "job": name, "style": "Velder Loop", "allowance": {"seam": 1}, "min_part": 6, "max_parts": 1}
    return asked | {"patches": [patch | {"name": f"patch {index + 1}"} for index in range(patches)]} | changes


def contest(name: str) -> dict[str, Any]:
    """Two patches that want the same pieces, in up to three parts: beyond the exact solver, so a search goes on to its end."""
    return a_job(name, 2, max_parts=3)
