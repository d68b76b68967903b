"""What the fields of forms are called, where they stand and where a refusal names them."""

import re
from collections.abc import Mapping

from remnants.model.attributes import PIECE
from remnants.model.patch_attributes import PATCH, WANTED

__all__ = ["label_of"]

_LABELS: Mapping[str, str] = {attribute.name: attribute.called for attribute in (*WANTED, *PATCH, *PIECE)} | {
    "width": "Across",
    "length": "Up",
    "ell_width": "Across, whole",
    "ell_length": "Up, whole",
    "out_width": "Cut out, across",
    "out_length": "Cut out, up",
    "notch": "Corner cut out",
    "across": "Across the circle",
    "corners": "Corners, one a line",
    "pile": "The pile lays towards",
    "lot": "Dye lot",
    "new_tag": "Tag",
    "photo": "Photograph",
    "seam_shift": "Move the seam",
}
"""Of fields that mean the same on each form; a piece's and a patch's attributes are called as their tables say."""

_OF_JOB = {
    "name": "What to call it",
    "seam": "At a seam",
    "wall": "At a wall",
    "transition": "At a transition",
    "min_part": "Narrowest part",
    "use": "Cut from",
    "avoid": "Don't cut from",
}
"""Of a job's fields, on each form that asks for one."""

_OF_DAMAGE = {
    "damage_width": "Damage across",
    "damage_length": "Damage up",
    "damage_x": "From a side wall",
    "damage_from_x": "that side wall is",
    "damage_y": "From an end wall",
    "damage_from_y": "that end wall is",
}
_OF_DOOR = {"door": "{} doorway is in", "door_from": "{}: from the wall's left or lower end", "door_width": "{} doorway is wide"}

_OF_JOB_PHOTO = {"moment": "Taken", "words": "A few words with it"}

_OF_LOOK = {"sight": "Which of the things foretold", "seen": "What is seen", "step": "Step in shade"}

_OF_AREA: Mapping[str, Mapping[str, str]] = {
    "patch": _OF_JOB
    | {
        "tag": "Same as a piece",
        "motif_x": "Pattern point, from the left",
        "motif_y": "Pattern point, from below",
        "traffic": "People walk towards",
        "light": "Window light comes from",
        "substitute": "Other goods in a near shade",
        "laid_room": "Where it lies",
        "laid_hidden": "Does anybody see it there?",
    },
    "order": {
        "order": "Job or order",
        "held": "With the repairs held for",
        "other_carpets": "Other carpets",
        "revises": "Revision of order",
        "why": "What changed",
        "wall_between": "Walls are thick",
        "steps": "Steps",
        "stair_width": "Steps are wide",
        "stair_tread": "Tread",
        "stair_riser": "Riser",
        "stair_joins": "Seen with room",
        "roll_width": "Roll is wide",
        "roll_width_2": "or wide",
        "roll_width_3": "or else wide",
        "roll_lot": "Dye lot of the roll",
        "amount": "Price",
        "per": "for each",
        "step": "Sold in steps of",
        "roll_length": "A roll is long",
        "end_loss": "Squared off every length",
        "rolls_there": "Rolls that there are",
        "price_list": "Your prices",
        "margin_percent": "Margin on each, %",
        "tax_percent": "Tax on the sum, %",
        "trim_wall": "More at each wall",
        "trim_seam": "More at each seam",
        "file": "Drawing, table or rooms file",
        "drawing_unit": "Its unit",
        "drawing_layers": "Layers of the rooms",
        "drawing_islands": "Layers of islands",
        "drawing_gap": "Close gaps up to",
        "drawing_scale": "Scale of a PDF",
        "drawing_page": "Its page",
        "drawing_line": "Or a line of it",
        "drawing_known": "Length of that line",
        "drawing_width": "Width of the roll",
        "drawing_style": "Style wanted",
        "drawing_colour": "Colour wanted",
        "drawing_lot": "Lot wanted",
        "rooms_file": "or its text",
    },
    "bookings": _OF_JOB_PHOTO | _OF_LOOK,
    "log": {"file": "Spreadsheet", "sheet": "Its sheet", "unit": "Figures alone are", "table": "Rows", "columns": "Columns"},
    "dock": {
        "scan": "What was scanned",
        "count": "How many alike",
        "style_is": "Style",
        "customer": "Customer",
        "until": "Until",
    },
    "job_photos": _OF_JOB_PHOTO,
    "looked_back": _OF_LOOK,
    "customer": {
        "name": "Your name",
        "strokes": "Your name as drawn",
        "ticked": "Tick",
    },
    "rules": {
        "hold_days": "Days of a hold",
        "link_days": "Days of a customer's link",
        "keep_short": "Kept from: shorter side",
        "keep_long": "Kept from: longer side",
        "least_short": "Kept from: shorter side",
        "least_long": "Kept from: longer side",
        "patches_enough": "Patches that tell what is usual",
        "old_days": "Days until a piece is old",
        "seam": "Added at a seam",
        "wall": "Added at a wall",
        "transition": "Added at another floor",
        "tape_error": "A tape may be out by",
        "cut_step_in": "Cuts in feet, steps of",
        "cut_step_cm": "Cuts in metres, steps of",
        "order_step": "Roll is sold in steps of",
        "order_least": "Least length off a roll",
        "end_loss": "Squared off every length",
        "second_factor": "Second factor for managers",
        "note_pace": "Note how long the form takes",
    },
    "propose": _OF_JOB
    | {
        "room_is": "The room is told",
        "width": "Room across",
        "length": "Room up",
        "pile_by": "The pile lays",
        "light": "Window light comes from",
        "row": "Rows are apart",
        "lanes": "Where people walk",
        "hidden": "Furniture that stays",
        "margin": "Least carpet round it",
        "file": "Drawing, table or rooms file",
        "drawing_unit": "Its unit",
        "drawing_layers": "Layers of the rooms",
        "drawing_gap": "Close gaps up to",
        "drawing_scale": "Scale of a PDF",
        "rooms_file": "or its text",
        **{f"{name}_1": label for name, label in _OF_DAMAGE.items()},
        **{f"{name}_{number}": f"{label} ({number})" for name, label in _OF_DAMAGE.items() for number in (2, 3, 4)},
        **{
            f"{name}_{number}": label.format(told)
            for name, label in _OF_DOOR.items()
            for number, told in enumerate(("First", "Second", "Third"), start=1)
        },
    },
    "said": {"words": "In one line"},
    "measure": {
        "lens": "Its lens, mm by 35 mm film",
        "above": "What is measured lies above the page by",
        "page": "Number printed on the page",
        "bar": "Its check bar, in mm",
        "row": "Rows are apart",
        "known": "What a tape says",
        "top": "On the room's drawing the page's top points",
        "corners": "Corners, one a line",
        "alike": "Both carpets lie the same way",
        "step_tag": "The other carpet is piece",
        "floor_lab": "The floor's shade by an instrument, L*,a*,b*",
    },
    "prices": {
        "price_list": "Your prices",
        "margin_percent": "Margin on each, %",
        "tax_percent": "Tax on the sum, %",
        "file": "Price file",
    },
    "stock": {"amount": "Price of new carpet", "per": "for each"},
}
"""Of fields that one form alone has, or that it calls otherwise."""

_DOORWAY = {"from": "From the wall's left or lower end", "width": "Doorway is wide", "to": "Leads to room"}
_OF_ROOMS: Mapping[str, str] = {
    "use": "It is a",
    "corner": "Corner cut out",
    "carpet": "Carpet, if another",
    "x": "From the left",
    "y": "From below",
    "door": "Doorway in the",
    "second": "Second doorway in the",
    **{f"{name}_{what}": label for name in ("door", "second") for what, label in _DOORWAY.items()},
}
"""Of the fields that each room of an order has, beside those of shapes."""

_NUMBERED = re.compile(r"(\w+)_(\d+)")


def label_of(field: str, area: str = "", *, of_row: bool = False) -> str:
    """What a field is called on the forms of an area: `Across` for `width`, and for `laid_width` of carpet that lies there.

    A room's fields are called so beside their room's number; with `of_row` as the field itself says, in its row.
    """
    own = _OF_AREA.get(area, {})
    numbered = None if field in own else _NUMBERED.fullmatch(field)
    if numbered and numbered[1] == "edge":
        return f"Side {int(numbered[2]) + 1}"
    if numbered and area == "order":
        told = f"Room {numbered[2]}"
        if numbered[1] == "name":
            return told
        called = _OF_ROOMS.get(numbered[1]) or _LABELS.get(numbered[1], numbered[1])
        return called if of_row else f"{told}, {called[:1].lower()}{called[1:]}"
    plain = field if field in own else field.removeprefix("laid_")
    called = own.get(plain) or _LABELS.get(plain, plain.replace("_", " "))
    return called[:1].upper() + called[1:]
