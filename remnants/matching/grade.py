"""How well pieces match what a job asks for, and why.

Grades, best first: same style, colour and lot; this house's lot; lot not known; other lot; shade measured close; substitute (same
construction, near shade; only where the job allows one); no match. Wear and measured shade order pieces within a grade.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from remnants.belonging import Whose, whose
from remnants.matching.colours import named_shade
from remnants.matching.names import Taken, Untaken
from remnants.matching.seen import shade_range
from remnants.matching.shade import ShadeRule, comparable, delta_e_2000, shade_words
from remnants.matching.stock_names import Label, StockNames
from remnants.matching.wear import wear_of
from remnants.matching.words import fold, lot_key
from remnants.model import Candidate, Construction, Grade, Job, Lab, Match, PassedOver, Piece, Style, Wanted
from remnants.model.shade_steps import step_to

__all__ = ["Asked", "Graded", "grade_pieces", "match_of", "possible_styles", "read_wanted"]


@dataclass(frozen=True)
class Asked:
    """What a patch asks for, in the stock's names. `refusal` says why no style can match; `notes` what was taken for what.

    `houses_lot`: the lot is told by no job, but is that of all carpet of its house.
    """

    wanted: Wanted
    style: str = ""
    colour: str = ""
    construction: Construction | None = None
    lab: Lab | None = None
    refusal: str = ""
    colour_refusal: str = ""
    notes: tuple[str, ...] = ()
    houses_lot: bool = False


@dataclass(frozen=True)
class Graded:
    """Pieces for one patch: those within its lowest grade, best first, and the others with the reason.

    `notes` tells which names the typed ones were taken for; `refusal` why nothing can match ("" when something can).
    """

    patch: str
    candidates: tuple[Candidate, ...]
    refused: tuple[PassedOver, ...] = ()
    notes: tuple[str, ...] = ()
    refusal: str = ""

    def among(self, tags: Collection[str]) -> "Graded":
        """The same with none but candidates that have one of these tags."""
        return replace(self, candidates=tuple(each for each in self.candidates if each.piece.tag in tags))


def grade_pieces(
    job: Job,
    pieces: Sequence[Piece],
    styles: Mapping[str, Style],
    *,
    rule: ShadeRule | None = None,
    names: StockNames | None = None,
    staircases: Mapping[str, bytes] | None = None,
) -> tuple[Graded, ...]:
    """The pieces graded for each patch of the job, in the order of its patches.

    `names` are those of the whole stock where `pieces` are only some of it, `staircases` what is known of odd ones (by tag) and
    goes with the candidates. Raises BadInput for a name longer than any name is.
    """
    names = names or StockNames((Label(piece.style, piece.colour, piece.lot) for piece in pieces), styles)
    done: dict[Wanted, Graded] = {}
    for patch in job.patches:
        if patch.wanted not in done:
            asked = _of_this_house(read_wanted(patch.wanted, names), job, pieces, names)
            done[patch.wanted] = _graded(asked, pieces, names, rule or ShadeRule(), staircases or {})
    return tuple(_named(done[patch.wanted], patch.name) for patch in job.patches)


def possible_styles(job: Job, names: StockNames, written: Iterable[str]) -> frozenset[str]:
    """Those of the styles as `written` on pieces that some patch of the job could take pieces of; the others it never grades in.

    Raises BadInput for a name longer than any name is.
    """
    asked = [read_wanted(wanted, names) for wanted in dict.fromkeys(patch.wanted for patch in job.patches)]
    return frozenset(style for style in written if any(_possible(each, style, names) for each in asked))


def _possible(asked: Asked, written: str, names: StockNames) -> bool:
    if asked.wanted.substitute and names.style_of(written).construction is asked.construction:
        return True
    if asked.refusal:
        return False
    style = names.style_name(written)
    return not asked.style or style == asked.style or names.same_name(style, asked.style, same_lot=True)


def _named(graded: Graded, patch: str) -> Graded:
    return Graded(patch, graded.candidates, graded.refused, graded.notes, graded.refusal)


def _of_this_house(asked: Asked, job: Job, pieces: Sequence[Piece], names: StockNames) -> Asked:
    """With the lot of this house's carpet, where the job tells none and all of it in that style and colour has the same."""
    if asked.wanted.lot.strip() or not asked.style or asked.refusal:
        return asked
    ours = (piece for piece in pieces if piece.lot.strip() and whose(piece, job) in (Whose.THIS_HOUSE, Whose.ASSUMED))
    lots = {
        lot_key(piece.lot): piece.lot
        for piece in ours
        if not _other_style(asked, piece, names, same_lot=False) and not _other_colour(asked, piece, names, same_lot=False)
    }
    if len(lots) != 1:
        return asked
    (lot,) = lots.values()
    return replace(asked, wanted=replace(asked.wanted, lot=lot), houses_lot=True)


def _graded(asked: Asked, pieces: Sequence[Piece], names: StockNames, rule: ShadeRule, staircases: Mapping[str, bytes]) -> Graded:
    wanted = asked.wanted
    lowest = max(wanted.lowest, _least(asked))
    known: dict[tuple[object, ...], tuple[Match, Style]] = {}
    candidates, refused = [], []
    for piece in pieces:
        key = piece.style, piece.colour, piece.lot, piece.worn, piece.lab, piece.room, piece.kind
        if key not in known:
            known[key] = match_of(asked, piece, names, rule), names.style_of(piece.style)
        match, style = known[key]
        if match.grade <= lowest:
            candidates.append(Candidate(piece, style, match, staircases.get(piece.tag)))
        else:
            refused.append(PassedOver(piece.tag, _refused_words(match, wanted.lowest)))
    candidates.sort(key=lambda candidate: (candidate.match.rank, candidate.piece.tag))
    return Graded("", tuple(candidates), tuple(refused), asked.notes, asked.refusal)


def _least(asked: Asked) -> Grade:
    """The best grade that anything can have: what the job leaves out counts as met."""
    if asked.houses_lot:
        return Grade.THIS_HOUSE
    return Grade.SAME_LOT if asked.wanted.lot.strip() else Grade.LOT_NOT_KNOWN


def _refused_words(match: Match, lowest: Grade) -> str:
    if match.grade is Grade.NO_MATCH:
        return match.sentence
    return f"{match.sentence}; the job accepts {lowest.word} at worst"


def read_wanted(wanted: Wanted, names: StockNames) -> Asked:
    """What is asked for, in the names of the stock. Raises BadInput for a name longer than any name is."""
    notes: list[str] = []
    style, refusal = _read("style", wanted.style, names.take_style(wanted.style) if wanted.style.strip() else None, notes)
    colour, colour_refusal = "", ""
    if wanted.colour.strip() and not refusal:
        colour, colour_refusal = _read("colour", wanted.colour, names.take_colour(wanted.colour, style), notes)
    declared = names.style_of(style) if style else None
    lab = wanted.lab or next((way.lab for way in declared.colours if way.name == colour), None) if declared else wanted.lab
    construction = wanted.construction or (declared.construction if declared else None)
    return Asked(wanted, style, colour, construction, lab, refusal, colour_refusal, tuple(notes))


def _read(what: str, typed: str, found: Taken | Untaken | None, notes: list[str]) -> tuple[str, str]:
    """(the name, "") or ("", why there is none); a note when the name isn't the typed one."""
    if found is None:
        return "", ""
    if isinstance(found, Taken):
        if found.reason:
            notes.append(f"{what}: taken as {found.name!r} ({found.reason})")
        return found.name, ""
    if found.could_be:
        shown = " or ".join(repr(name) for name in found.could_be[:4])
        return "", f"{what} {typed.strip()!r} could be {shown}: type more of the name"
    near = ", ".join(repr(name) for name in found.nearest)
    hint = f"; the nearest names are {near}: use one of them if it is meant" if near else ""
    return "", f"no {what} {typed.strip()!r} in stock{hint}"


def match_of(asked: Asked, piece: Piece, names: StockNames, rule: ShadeRule) -> Match:
    """How the piece matches what is asked for, and the sentence that says why."""
    grade, reason = _grade(asked, piece, names, rule)
    measured = _measured(asked, piece, names)
    delta_e = delta_e_2000(*measured) if measured else None
    steps, wear = wear_of(asked.wanted, piece)
    parts = [reason] if grade is Grade.NO_MATCH else [reason, wear]  # of carpet that is another, wear says nothing
    if measured and grade <= Grade.OTHER_LOT:
        close = delta_e_2000(*measured) <= rule.close
        wins = "" if close or grade is Grade.OTHER_LOT else ", which counts for more than the lot's name"
        parts.append(f"shade measured {'close' if close else 'apart'} ({shade_words(*measured)}){wins}")
    if grade is not Grade.NO_MATCH:
        parts += asked.notes
    step = step_to(asked.wanted.shade_steps, piece.tag)
    if step and grade is not Grade.NO_MATCH:
        parts.append(step.words)
    aged = asked.wanted.worn is not None
    seen = shade_range(grade, measured=measured, step=step, wear_steps=steps if aged else None)
    return Match(grade, steps, "; ".join(part for part in parts if part), delta_e, seen)


def _measured(asked: Asked, piece: Piece, names: StockNames) -> tuple[Lab, Lab] | None:
    """The measured colours asked for and on the piece (its own, else its colourway's), where both can be compared."""
    own = piece.lab or next((way.lab for way in names.style_of(piece.style).colours if way.name == piece.colour), None)
    return (asked.lab, own) if asked.lab and own and comparable(asked.lab, own) else None


def _grade(asked: Asked, piece: Piece, names: StockNames, rule: ShadeRule) -> tuple[Grade, str]:
    """The grade by name, lot and shade, with its reason."""
    lot_asked = asked.wanted.lot.strip()
    same_lot = not lot_asked or names.same_lot(lot_asked, piece.lot, asked.style)
    other_style = asked.refusal or _other_style(asked, piece, names, same_lot=bool(lot_asked) and same_lot)
    if other_style:
        return _substitute(asked, piece, names, rule, other_style)
    other_colour = _other_colour(asked, piece, names, same_lot=bool(lot_asked) and same_lot)
    if other_colour:
        return _close_shade(asked, piece, names, rule, other_colour)
    what = (
        " and ".join(_same("style", asked.style, piece.style) + _same("colour", asked.colour, piece.colour)) or "any carpet asked"
    )
    return _by_lot(asked, piece, what, same_lot=same_lot)


def _by_lot(asked: Asked, piece: Piece, what: str, *, same_lot: bool) -> tuple[Grade, str]:
    """The grade of carpet of the style and colour asked for, with its reason; `what` is the same so far."""
    lot_asked = asked.wanted.lot.strip()
    compare = "compare both in the room's light before cutting"
    if not lot_asked:
        return Grade.LOT_NOT_KNOWN, f"{what}, lot not known: the job tells none, {compare}"
    if same_lot and asked.houses_lot:
        return Grade.THIS_HOUSE, f"{what}, this house's lot {piece.lot}: the job tells none, {compare}"
    if same_lot:
        as_written = "" if lot_key(lot_asked) == lot_key(piece.lot) else f" (taken as {piece.lot!r})"
        return Grade.SAME_LOT, f"{what}, same lot{as_written}"
    instead = f"this house's {lot_asked}" if asked.houses_lot else lot_asked
    if piece.lot.strip():
        return Grade.OTHER_LOT, f"{what}, lot {piece.lot} instead of {instead}: dye lots differ, {compare}"
    return Grade.LOT_NOT_KNOWN, f"{what}, lot not known: the piece tells none, {instead} is wanted, {compare}"


def _same(what: str, asked: str, written: str) -> list[str]:
    if not asked:
        return []
    return [f"same {what}" if fold(asked) == fold(written) else f"same {what} (written {written!r})"]


def _other_style(asked: Asked, piece: Piece, names: StockNames, *, same_lot: bool) -> str:
    """Why the piece's style is not the one asked for; "" when it is."""
    style = names.style_name(piece.style)
    if not asked.style or style == asked.style or (same_lot and names.same_name(style, asked.style, same_lot=True)):
        return ""
    return f"another style ({piece.style!r}, asked {asked.style!r})"


def _other_colour(asked: Asked, piece: Piece, names: StockNames, *, same_lot: bool) -> str:
    """Why the piece's colour is not the one asked for; "" when it is."""
    if not asked.wanted.colour.strip():
        return ""
    if not piece.colour.strip():
        return f"colour not recorded, asked {asked.wanted.colour.strip()!r}"
    if asked.colour_refusal:
        return asked.colour_refusal
    if names.same_name(piece.colour, asked.colour, same_lot=same_lot):
        return ""
    return f"another colour ({piece.colour!r}, asked {asked.colour!r})"


def _close_shade(asked: Asked, piece: Piece, names: StockNames, rule: ShadeRule, why: str) -> tuple[Grade, str]:
    """Same style in another colour: passes where both are measured and close."""
    measured = _measured(asked, piece, names)
    if not measured:
        return _substitute(asked, piece, names, rule, why)
    if delta_e_2000(*measured) <= rule.close:
        return Grade.CLOSE_SHADE, f"same style, {why}, but shade measured close ({shade_words(*measured)})"
    return _substitute(asked, piece, names, rule, f"{why}; shade measured apart ({shade_words(*measured)})")


def _substitute(asked: Asked, piece: Piece, names: StockNames, rule: ShadeRule, why: str) -> tuple[Grade, str]:
    """Another carpet: passes as a substitute where one is allowed, its construction is the same and its shade near."""
    if not asked.wanted.substitute:
        return Grade.NO_MATCH, why
    construction = names.style_of(piece.style).construction
    if asked.construction is None or construction is not asked.construction:
        wanted = asked.construction.value if asked.construction else "not known"
        return Grade.NO_MATCH, f"{why}; no substitute: construction {construction.value}, asked {wanted}"
    shades, sure = _shades(asked, piece, names)
    if not shades:
        return Grade.NO_MATCH, f"{why}; no substitute: its shade or the one asked for is not known"
    by_name = "" if sure else ", by the colours' names, not measured: hold both side by side"
    told = f"{shade_words(*shades)}{by_name}"
    if delta_e_2000(*shades) > rule.near:
        return Grade.NO_MATCH, f"{why}; no substitute: shade apart ({told})"
    return Grade.SUBSTITUTE, f"substitute: {why}; same construction ({construction.value}), near shade ({told})"


def _shades(asked: Asked, piece: Piece, names: StockNames) -> tuple[tuple[Lab, Lab] | None, bool]:
    """The shades asked for and on the piece, and whether both are measured; a colour's name stands in for a measurement."""
    measured = _measured(asked, piece, names)
    if measured:
        return measured, True
    named_asked, named_piece = named_shade(asked.colour or asked.wanted.colour), named_shade(piece.colour)
    first = asked.lab or (named_asked.lab if named_asked else None)
    second = piece.lab or (named_piece.lab if named_piece else None)
    if not first or not second or not comparable(first, second):
        return None, False
    return (first, second), False
