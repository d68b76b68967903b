"""The order of work for one plan: only the steps that it calls for, with its own pieces, cuts, seams and edges in them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from remnants.belonging import consent_words, made_good_words
from remnants.geometry.outline import bounds
from remnants.materials.cautions import Caution
from remnants.materials.cuts import Cut, cuts_of, donor_cuts, donors_of
from remnants.materials.lifting import piece_load
from remnants.materials.needs import Fixing
from remnants.materials.pins import pin_advice
from remnants.materials.rules import MaterialRules
from remnants.materials.runs import filled_patches
from remnants.materials.seam_edges import looped, seam_edge_lines
from remnants.model import Construction, Finish, Grade, Job, Kind, Patch, PatchPlan, Piece, Plan, Seam, SeamKind, Style
from remnants.units import Unit, write_length

__all__ = ["Setting", "Step", "steps_of"]

TOOLS = {
    Construction.CUT: "part the pile with a blunt tool and cut between two rows of tufts",
    Construction.LOOP: (
        "cut from the pile side between two rows of loops, the backing and every loop through, and finish with scissors; "
        "never pull a loop"
    ),
    Construction.CUT_AND_LOOP: (
        "part the pile, cut between two rows, the backing and every loop through, and finish with scissors; never pull a loop"
    ),
    Construction.WOVEN: "cut along a thread of the weave, and seal the cut edge at once: woven edges run",
    Construction.NEEDLED: "cut along a straight edge: there are no rows to follow, but keep the pile arrow",
}


@dataclass(frozen=True)
class Setting:
    """What the work rests on beside plan and job: pieces by tag, styles by name, how carpet is held, rules, and unit told in."""

    pieces: Mapping[str, Piece]
    styles: Mapping[str, Style]
    rules: MaterialRules
    fixing: Fixing = Fixing.STRETCHED
    unit: Unit = Unit.MM

    def style_of(self, tag: str) -> Style | None:
        """The style of a piece, None when it is not known."""
        piece = self.pieces.get(tag)
        return self.styles.get(piece.style) if piece else None


@dataclass(frozen=True)
class Step:
    """One step: a title, what to do line by line, and the cautions that belong to it."""

    title: str
    lines: tuple[str, ...]
    cautions: tuple[Caution, ...] = ()


def steps_of(plan: Plan, job: Job, setting: Setting) -> tuple[Step, ...]:
    """The steps in order. A plan without any cut has none."""
    cuts = cuts_of(plan)
    if not cuts:
        return ()
    patches = filled_patches(plan, job)
    answers = [answer for answer in plan.patches if answer.parts]
    steps = [*_ask_first(plan, setting), _fetch(plan, setting), _compare(plan, answers, setting)]
    steps += [_cut(tag, donor_cuts(cuts, tag), setting) for tag in donors_of(plan)]
    steps += [_join(answer, cuts, setting) for answer in answers if answer.seams]
    steps.append(_cut_out(patches, plan, setting))
    steps += _floor(patches, plan, setting)
    steps += _edges(patches, setting)
    steps += _check_points(patches, plan, setting)
    steps.append(_put_back(plan, setting))
    return tuple(steps)


def _ask_first(plan: Plan, setting: Setting) -> Iterator[Step]:
    """Consent comes before anything is fetched."""
    if plan.asking:
        yield Step("Ask first", tuple(consent_words(each, setting.pieces) for each in plan.asking))


def _fetch(plan: Plan, setting: Setting) -> Step:
    lines, cautions = [], []
    for tag in donors_of(plan):
        piece = setting.pieces[tag]
        load = piece_load(piece, setting.styles.get(piece.style), setting.rules)
        about = f"about {load.mass_kg:.1f} kg" + (" if it weighs what carpet usually does" if load.assumed else "")
        where = f" from {piece.place}" if piece.place else ""
        if piece.kind is Kind.LAID:
            lines.append(f"Free {tag}{where}: lift it off its strip from a corner, keep its edges straight ({about}).")
            if setting.fixing is Fixing.STRETCHED:
                lines.append(_relaxed(tag, setting))
            cautions += [Caution.PINS, Caution.OLD_FLOOR]
        else:
            lines.append(f"Fetch {tag}{where} ({about}).")
        if load.heavy:
            lines.append(f"{tag} is over {setting.rules.lift.value:g} kg: two people lift it.")
            cautions += [Caution.TWO_PEOPLE, Caution.ROLLS]
    return Step("Find and fetch the donors", tuple(lines), tuple(dict.fromkeys(cautions)))


def _relaxed(tag: str, setting: Setting) -> str:
    """What stretched carpet does once it is free. The share is the least that it is stretched by (CRI 2011, 16.5)."""
    share = setting.rules.stretch.value
    return (
        f"{tag} was stretched, by {share:g} % or more each way: let it lie flat until it has drawn in, then measure it again; if "
        "the cuts no longer fit, fit the job again before you cut."
    )


def _compare(plan: Plan, answers: list[PatchPlan], setting: Setting) -> Step:
    lines = []
    for tag in donors_of(plan):
        piece = setting.pieces[tag]
        lot = f"lot {piece.lot}" if piece.lot else "no lot is logged"
        lines.append(f"{tag}: read the label or back ({piece.style}, {piece.colour or 'no colour logged'}, {lot}).")
    lines.append("Lay it beside the damage, pile the same way, in the room's own light; look from both ends and from the door.")
    for answer in answers:
        if answer.match is not None and answer.match.grade is not Grade.SAME_LOT:
            lines.append(
                f"{answer.name} is not known to be of the same lot ({answer.match.sentence}): show the customer before you cut."
            )
    return Step("Check lot and shade in the room", tuple(lines))


def _by_tape(name: str, bar_mm: float | None, unit: Unit) -> Iterator[str]:
    """What was measured from a photograph is never cut by that alone."""
    if bar_mm:
        yield f"{name} was measured from a photograph, within {write_length(bar_mm, unit)}: check it with a tape before you cut."


def _cut(tag: str, cuts: tuple[Cut, ...], setting: Setting) -> Step:
    style = setting.style_of(tag)
    unit = setting.unit
    lines = [
        *_by_tape(tag, setting.pieces[tag].photo_bar_mm, unit),
        "Chalk edges A (left) and B (bottom) on it as the drawing shows, seen from the pile side, and an arrow with the pile.",
    ]
    for cut in cuts:
        width, length = cut.size_mm
        size = f"{write_length(width, unit)} × {write_length(length, unit)}"
        x, y = cut.place_on(setting.pieces[tag])
        place = f"{_from(x, 'A', unit)} and {_from(y, 'B', unit)}"
        lines.append(f"Cut {cut.number}, for {cut.patch}: {size}, {place}. Number it on the back.")
    lines.append("Cut along the knife's lines in their order, K1 first. Where a bar crosses one, stop at the corner.")
    if style is not None:
        lines.append(f"{_capital(TOOLS[style.construction])}.")
    return Step(f"Cut {tag}", tuple(lines), (Caution.KNIFE,))


def _join(answer: PatchPlan, cuts: tuple[Cut, ...], setting: Setting) -> Step:
    numbers = {(cut.patch, cut.part_index): str(cut.number) for cut in cuts}
    lines = [_seam_line(answer, seam, numbers, setting) for seam in answer.seams]
    if setting.fixing is Fixing.GLUED:
        lines.append("Dry-fit the parts, then set them in adhesive and run a bead of sealer on one edge of the seam, joined wet.")
        return Step(f"Join the parts of {answer.name} first", tuple(lines), (Caution.KNIFE, Caution.VAPOUR))
    lines.append("Seal both edges over both backings and let them dry.")
    lines.append("Heat the iron beforehand, lay tape under the seam, press the edges together by hand behind the iron.")
    lines.append(_iron_words({seam.kind for seam in answer.seams}))
    lines.append("Weight the seam with a flat board, and let it cool before it is moved.")
    return Step(f"Join the parts of {answer.name} first", tuple(lines), (Caution.IRON, Caution.VAPOUR, Caution.KNIFE))


def _iron_words(kinds: set[SeamKind]) -> str:
    """Which way the iron goes: with the pile (CRI 105, 10.3.1), where the seam runs along it."""
    if kinds == {SeamKind.SIDE}:
        return "Run the iron in the direction of the pile."
    if SeamKind.SIDE in kinds:
        return (
            "Run the iron in the direction of the pile on seams along it; a seam across the pile can only be ironed along itself."
        )
    return "The seam doesn't run along the pile, so the iron can't: iron it along itself, and brush the pile up behind it."


def _seam_line(answer: PatchPlan, seam: Seam, numbers: Mapping[tuple[str, int], str], setting: Setting) -> str:
    first, second = sorted((numbers[answer.name, index] for index in seam.parts), key=int)
    rows = {
        SeamKind.SIDE: "trim both edges with the rows",
        SeamKind.CROSS: "trim both edges straight across the rows",
        SeamKind.ANGLED: "trim both edges along a straight edge, row by row",
    }[seam.kind]
    length = write_length(seam.length_mm, setting.unit)
    style = setting.style_of(answer.parts[0].piece)
    loops = seam.kind is not SeamKind.SIDE and looped(style.construction if style else None)
    scissors = " Cut every loop through with scissors." if loops else ""
    return f"Cuts {first} and {second}: {seam.kind} seam of {length}; {rows}, no gap, no overlap.{scissors}"


def _cut_out(patches: tuple[Patch, ...], plan: Plan, setting: Setting) -> Step:
    """The patch is brought to its net size first: a hole marked round its allowance would be too large."""
    names = ", ".join(patch.name for patch in patches)
    trim = [
        line
        for patch in patches
        if Finish.SEAM in patch.edges
        for line in (
            f"{patch.name}: trim its seam edges to the net size, {_extent(patch, setting.unit)}; "
            "leave the allowance at its other edges.",
            *seam_edge_lines(patch, _construction(plan, patch, setting), setting.unit),
        )
    ]
    lines = (
        *(line for patch in patches for line in _by_tape(patch.name, patch.photo_bar_mm, setting.unit)),
        *trim,
        f"{names}: lay the patch, so trimmed, over the damage, pile the same way, rows in line; mark round it and cut out the "
        "old carpet to match.",
        "Cut the old carpet between its own rows, no deeper than its backing: keep the blade out of what lies under.",
    )
    return Step("Cut out the damage to match", lines, (Caution.OLD_FLOOR, Caution.KNIFE, Caution.KNEES))


def _construction(plan: Plan, patch: Patch, setting: Setting) -> Construction | None:
    """The construction of what fills a patch, where it is known."""
    tags = (part.piece for answer in plan.patches if answer.name == patch.name for part in answer.parts)
    style = setting.style_of(next(tags, ""))
    return style.construction if style else None


def _extent(patch: Patch, unit: Unit) -> str:
    left, bottom, right, top = bounds(patch.ring)
    return f"{write_length(right - left, unit)} × {write_length(top - bottom, unit)}"


def _floor(patches: tuple[Patch, ...], plan: Plan, setting: Setting) -> Iterator[Step]:
    """Pad and strip, or adhesive."""
    if setting.fixing is Fixing.GLUED:
        glued = (
            "Let the old adhesive be unless it is known what it holds.",
            "Spread fresh adhesive and set the patch while it grips.",
        )
        yield Step("Set the patch in adhesive", glued, (Caution.OLD_FLOOR, Caution.VAPOUR))
        return
    yield Step("Make the pad good", ("Renew pad that is wet, stained or crushed, level with the old; staple it down.",))
    walls = [patch.name for patch in patches if Finish.WALL in patch.edges]
    if walls:
        lines = [
            f"At the walls of {', '.join(walls)}: sound strip, points to the wall, two nails at least in each length.",
            f"Set it off the wall by a little under the carpet's thickness, no more than {write_length(9.0, setting.unit)}.",
            *(f"{_capital(told)}." for told in _pin_lines(plan, setting)),
            *(["No strip across a doorway: none is counted at the transitions."] if _doors(patches) else []),
        ]
        yield Step("Strip", tuple(lines), (Caution.PINS,))


def _doors(patches: tuple[Patch, ...]) -> list[str]:
    return [patch.name for patch in patches if Finish.TRANSITION in patch.edges]


def _pin_lines(plan: Plan, setting: Setting) -> list[str]:
    styles = dict.fromkeys(setting.style_of(tag) for tag in donors_of(plan))
    return [pin_advice(style, setting.rules).told for style in styles]


def _edges(patches: tuple[Patch, ...], setting: Setting) -> Iterator[Step]:
    seamed = [patch.name for patch in patches if Finish.SEAM in patch.edges]
    if seamed and setting.fixing is Fixing.STRETCHED:
        lines = (
            f"{', '.join(seamed)}: seal all cut edges, old and new; half the tape's width goes under the old carpet.",
            "Heat the iron beforehand; a side at a time, in the direction of the pile on the sides that run along it; press the "
            "edges together and brush the pile up.",
            "Weight each seam with a flat board, and let it cool; keep feet off it.",
        )
        yield Step("Tape the seams round the patch", lines, (Caution.IRON, Caution.VAPOUR))
    walls = [patch.name for patch in patches if Finish.WALL in patch.edges]
    if walls and setting.fixing is Fixing.STRETCHED:
        yield Step(
            "Hook and tuck at the walls", (f"{', '.join(walls)}: hook on the strip, trim the allowance, tuck into the gap.",)
        )
    doors = _doors(patches)
    if doors:
        yield Step("Finish at the transitions", (f"{', '.join(doors)}: {_at_a_door(setting)}",), (Caution.KNIFE,))


def _at_a_door(setting: Setting) -> str:
    """The ways to end at another floor. The bare edge is of CRI 2011, 6.3; the others are common practice."""
    rules, unit = setting.rules, setting.unit
    spacing = write_length(rules.staple_spacing.value, unit)
    proud, bead = write_length(rules.bare_edge.value, unit), write_length(rules.bare_bead.value, unit)
    return (
        f"end it as the floor there asks. Metal edge: trim to it, hook on, tap the lip down. Moulding: run the carpet under it, "
        f"one staple each {spacing} between the rows. Tucked to a hard floor: fold it under, staple the same way. Bare edge: the "
        f"hard floor no more than {proud} above the carpet, a bead of sealer of {bead} or more on the cut edge."
    )


def _check_points(patches: tuple[Patch, ...], plan: Plan, setting: Setting) -> Iterator[Step]:
    on_strip = any(Finish.WALL in patch.edges for patch in patches)
    if setting.fixing is Fixing.GLUED or not on_strip:
        return
    if any(pin_advice(setting.style_of(tag), setting.rules).thin for tag in donors_of(plan)):
        line = "Press along every strip with a gloved hand, then with a bare one, slowly: no point may be felt through the pile."
        yield Step("Check by hand for nail points", (line,), (Caution.PINS,))


def _put_back(plan: Plan, setting: Setting) -> Step:
    lines = []
    for left in plan.leftovers:
        width, length = (write_length(side, setting.unit) for side in left.largest)
        if left.usable and setting.pieces[left.piece].kind is not Kind.LAID:
            lines.append(f"Keep what is left of {left.piece} (it holds {width} × {length}): arrow with the pile, tag, log it.")
    asked = {each.piece: made_good_words(each) for each in plan.asking}
    lines += [
        asked.get(tag) or f"{tag} was laid: fill the hole it leaves (see the backfill), or tell the customer it stays open."
        for tag in donors_of(plan)
        if setting.pieces[tag].kind is Kind.LAID
    ]
    lines.append("Count the blades, cool the iron, take the scraps with you.")
    return Step("Leave it right", tuple(lines))


def _from(distance_mm: float, edge: str, unit: Unit) -> str:
    return f"{write_length(distance_mm, unit)} from {edge}" if distance_mm else f"on {edge}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
