"""Pieces as tables for a terminal."""

from collections.abc import Iterable, Iterator, Sequence

from rich.table import Table

from remnants.days import day_words
from remnants.ledger import Stage, Standing
from remnants.model import Piece, Role, Style
from remnants.model.attributes import PIECE, PLAIN, Asked, Value
from remnants.model.customer import Customer
from remnants.model.piece import WORN_WORDS
from remnants.model.style_attributes import STYLE, STYLE_PLAIN
from remnants.report.attribute_words import attribute_words, bearing_words, told_lines
from remnants.units import Unit, write_area, write_length

__all__ = [
    "customer_words",
    "more_lines",
    "pattern_words",
    "piece_card",
    "place_words",
    "size_words",
    "standing_table",
    "state_words",
    "style_card",
    "style_lines",
    "style_table",
]

_WITH_ITS_PLACE = ("room", "customer")
"""What `place_words` tells with the place."""

_AS_THICKNESS = ("pile_height", "backing")
"""Of a style, what a piece's card tells as one figure."""


def standing_table(standings: Sequence[Standing], unit: Unit, *, why: Sequence[str] = ()) -> Table:
    """A row a piece: tag, carpet (style, colour, lot), size, pile, and where it is (kind, place, wear, state).

    With `why`, a reason for each stands below its carpet. Made to be read at 80 columns.
    """
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("tag", "carpet", "size", "pile", "where"):
        table.add_column(heading, no_wrap=heading in ("tag", "pile"))
    for index, standing in enumerate(standings):
        piece = standing.piece
        carpet = ", ".join(text for text in (piece.style, piece.colour, f"lot {piece.lot}" if piece.lot else "") if text)
        where = (piece.kind.value, place_words(piece), WORN_WORDS[piece.worn], state_words(standing))
        table.add_row(
            piece.tag,
            "\n".join((carpet, *why[index : index + 1])),
            size_words(piece, unit),
            bearing_words(piece.pile_deg),
            ", ".join(text for text in where if text),
        )
    return table


def piece_card(standing: Standing, style: Style, unit: Unit, *, customer: Customer | None = None) -> Table:
    """All about one piece, a line for each thing known."""
    return _card((*_lines(standing.piece, style, unit), *_standing_lines(standing, customer)))


def style_card(style: Style, unit: Unit) -> Table:
    """All about one style, a line for each thing known."""
    own = {"repeat": pattern_words(style, unit), "colours": ", ".join(colour.name for colour in style.colours)}
    lines = ((each.called, own[each.name] if each.name in own else attribute_words(each, style, unit)) for each in STYLE)
    return _card(lines)


def _card(lines: Iterable[tuple[str, str]]) -> Table:
    table = Table(box=None, pad_edge=False, show_header=False)
    table.add_column(style="bold", no_wrap=True)
    table.add_column()
    for label, text in lines:
        if text:
            table.add_row(label, text)
    return table


def style_table(styles: Sequence[Style], unit: Unit) -> Table:
    """One line a style: name, construction, roll width, pattern, row spacing."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("style", "construction", "roll width", "pattern", "row"):
        table.add_column(heading)
    for style in styles:
        roll = write_length(style.roll_width_mm, unit) if style.roll_width_mm else ""
        row = write_length(style.row_mm, unit) if style.row_mm else ""
        table.add_row(style.name, style.construction.value, roll, pattern_words(style, unit), row)
    return table


def pattern_words(style: Style, unit: Unit) -> str:
    """The pattern repeat, empty for a plain style: `12 in across × 18 in along, drop 0.5`."""
    repeat = style.repeat
    if not repeat:
        return ""
    drop = f", drop {repeat.drop:g}" if repeat.drop else ", set match"
    return f"{write_length(repeat.across_mm, unit)} across × {write_length(repeat.along_mm, unit)} along{drop}"


def size_words(piece: Piece, unit: Unit) -> str:
    """Width by length of the outline's bounds, marked where it is no plain rectangle: `40 in × 66 in, 6 corners`."""
    left, bottom, right, top = piece.outline.bounds
    size = f"{write_length(right - left, unit)} × {write_length(top - bottom, unit)}"
    if len(piece.outline.ring) != 4:
        size += f", {len(piece.outline.ring)} corners"
    if piece.outline.cutouts:
        count = len(piece.outline.cutouts)
        size += f", {count} cutout{'s' if count > 1 else ''}"
    return size


def place_words(piece: Piece) -> str:
    """Where it lies: place, room, and the customer who has it."""
    holder = f"with customer {piece.customer}" if piece.customer else ""
    return ", ".join(text for text in (piece.place, piece.room, holder) if text)


def state_words(standing: Standing) -> str:
    """Where it stands, empty for a piece simply in stock."""
    return "" if standing.stage is Stage.STOCKED else standing.words


def customer_words(customer: Customer) -> str:
    """Who a customer is and whether they may be called."""
    if not customer.known:
        return "nothing is known"
    consent = "may be called" if customer.may_call else "has not agreed to be called"
    return ", ".join(text for text in (customer.name, customer.phone, customer.address, consent) if text)


def _standing_lines(standing: Standing, customer: Customer | None) -> tuple[tuple[str, str], ...]:
    return (
        ("customer", customer_words(customer) if customer else ""),
        ("state", standing.words),
        ("why", standing.signed.why),
        ("seen", day_words(standing.seen_at)),
        ("cut from", standing.parent),
    )


def _lines(piece: Piece, style: Style, unit: Unit) -> Iterator[tuple[str, str]]:
    own = _own_lines(piece, style, unit)
    for attribute in PIECE:
        if attribute.name in own:
            yield from own[attribute.name]
        elif attribute.value is not Value.OWN:
            yield attribute.called, attribute_words(attribute, piece, unit)


def more_lines(piece: Piece, unit: Unit, *, seen_by: Role) -> tuple[tuple[str, str], ...]:
    """What is told of a piece more rarely and is for people of that role: what it is called, and its words."""
    rarely = [a for a in PLAIN if a.asked is Asked.MORE and a.name not in _WITH_ITS_PLACE and seen_by.covers(a.seen_by)]
    return told_lines(rarely, piece, unit)


def style_lines(style: Style, unit: Unit) -> tuple[tuple[str, str], ...]:
    """What a piece's card and page tell of its style beside name and construction: what it is called, and its words."""
    thickness = write_length(style.thickness_mm, unit) if style.thickness_mm else ""
    row = write_length(style.row_mm, unit) if style.row_mm else ""
    rarely = [each for each in STYLE_PLAIN if each.asked is Asked.MORE and each.name not in _AS_THICKNESS]
    told = (("pattern", pattern_words(style, unit)), ("row", row), ("thickness", thickness))
    return (*((called, words) for called, words in told if words), *told_lines(rarely, style, unit))


def _own_lines(piece: Piece, style: Style, unit: Unit) -> dict[str, tuple[tuple[str, str], ...]]:
    """What is told otherwise than by its value alone, or with something else; and beside it what the style tells."""
    corners = "  ".join(f"({write_length(x, unit)}, {write_length(y, unit)})" for x, y in piece.outline.ring)
    lab = piece.lab
    return {
        "style": (("style", f"{style.name} ({style.construction.value})"),),
        "outline": (
            ("size", size_words(piece, unit)),
            ("usable", write_area(piece.outline.usable_area_mm2, unit)),
            ("corners", "" if piece.outline.is_rectangle else corners),
        ),
        "pile": (("pile", bearing_words(piece.pile_deg)), *style_lines(style, unit)),
        "place": (("place", place_words(piece)),),
        **dict.fromkeys(_WITH_ITS_PLACE, ()),
        "lab": (("shade", f"L* {lab.lightness:g}, a* {lab.a:g}, b* {lab.b:g} ({lab.illuminant})" if lab else ""),),
    }
