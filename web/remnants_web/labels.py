"""What the fields of forms are called, where they stand and where a refusal names them."""

from remnants.model.attributes import PIECE
from remnants.model.patch_attributes import PATCH, WANTED

__all__ = ["label_of"]

_LABELS = {
    "width": "Across",
    "length": "Up",
    "ell_width": "Across, whole",
    "ell_length": "Up, whole",
    "out_width": "Cut out, across",
    "out_length": "Cut out, up",
    "across": "Across the circle",
    "corners": "Corners",
    "lot": "Dye lot",
    "new_tag": "Tag",
    "laid_room": "Where it lies",
    "edge_0": "Edges",
}
"""Of those that no attribute names, or that pages call otherwise."""

_ATTRIBUTES = {attribute.name: attribute.called for attribute in (*WANTED, *PATCH, *PIECE)}


def label_of(field: str) -> str:
    """What a field is called: `Across` for `width`, and for `laid_width` of carpet that lies there already."""
    plain = field if field in _LABELS else field.removeprefix("laid_")
    told = _LABELS.get(plain) or _ATTRIBUTES.get(plain, plain.replace("_", " "))
    return told[:1].upper() + told[1:]
