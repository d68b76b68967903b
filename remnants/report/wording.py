"""Turns, bearings, sizes and kinds in plain words, the same on screen and on paper. Lengths mm, angles degrees clockwise."""

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from unicodedata import category

from remnants.belonging import asking_words, consent_words
from remnants.geometry.outline import Ring, bounds
from remnants.geometry.turn import whole_turn
from remnants.model import Asking, Construction, Job, Kind, Piece, Plan, SeamKind, Show, Verdict
from remnants.model.sight import FLOOR_SEAM
from remnants.units import MM_PER_IN, Unit, is_imperial, write_length

__all__ = [
    "CONSTRUCTIONS",
    "KINDS",
    "SEAMS",
    "SHOWS",
    "VERDICTS",
    "bearing_text",
    "consents",
    "counted",
    "extent_text",
    "listed",
    "piece_line",
    "scale_text",
    "sentence",
    "sight_lines",
    "size_text",
    "spare_lines",
    "stopped",
    "turn_text",
    "visible",
    "where_text",
]

SAME = 0.02
"""Of a step of the tape: what is so little under the next one is that one."""

KINDS = {
    Kind.REMNANT: "remnant",
    Kind.OFFCUT: "offcut",
    Kind.KEPT: "kept with the customer",
    Kind.LAID: "laid on a floor",
}
CONSTRUCTIONS = {
    Construction.CUT: "cut pile",
    Construction.LOOP: "loop pile",
    Construction.CUT_AND_LOOP: "cut and loop pile",
    Construction.WOVEN: "woven",
    Construction.NEEDLED: "needled",
}
SEAMS = {SeamKind.SIDE: "side seam", SeamKind.CROSS: "cross seam", SeamKind.ANGLED: "angled seam"}
PLAY = {
    SeamKind.SIDE: "{} to the right and {} to the left, looked at with the pile up",
    SeamKind.CROSS: "{} the way the pile lays and {} against it",
    SeamKind.ANGLED: "{} one way and {} the other",
}
SHOWS = {
    Show.HARDLY: "should hardly show",
    Show.SLIGHTLY: "will show slightly",
    Show.CLEARLY: "will show",
    Show.STRONGLY: "will show strongly",
}
VERDICTS = {
    Verdict.WHOLE: "YES, in one piece",
    Verdict.JOINED: "YES, joined from parts",
    Verdict.PARTLY: "ONLY PARTLY",
    Verdict.NONE: "NO",
}
_TURNS = {
    0.0: "without turning",
    90.0: "with a quarter turn clockwise",
    180.0: "with a half turn",
    270.0: "with a quarter turn counter-clockwise",
}
_BEARINGS = {0.0: "up the drawing", 90.0: "to the right", 180.0: "down the drawing", 270.0: "to the left"}
_RULE_SCALES = {12.0: "1 in to 1 ft", 24.0: "1/2 in to 1 ft", 48.0: "1/4 in to 1 ft", 96.0: "1/8 in to 1 ft"}


def where_text(piece: Piece, asking: Sequence[Asking]) -> str:
    """Where a piece is, for the shop: its kind, or whom to ask first and what that needs, and its place."""
    asked = next((asking_words(each, {piece.tag: piece}) for each in asking if each.piece == piece.tag), "")
    return ("; " if asked else ", ").join(text for text in (asked or KINDS[piece.kind], piece.place) if text)


def consents(plan: Plan, pieces: Mapping[str, Piece]) -> tuple[str, ...]:
    """Whom the shop asks before anything is fetched for a plan, a sentence each; never for a customer's eyes."""
    return tuple(consent_words(each, pieces) for each in plan.asking)


def turn_text(turn_deg: float) -> str:
    """How a cut is turned to lie in its patch."""
    turn = whole_turn(turn_deg)
    if turn in _TURNS:
        return _TURNS[turn]
    return f"turned {turn:.4g}° clockwise" if turn < 180 else f"turned {360 - turn:.4g}° counter-clockwise"


def bearing_text(bearing_deg: float) -> str:
    """Where a bearing points on the drawing."""
    bearing = whole_turn(bearing_deg)
    return _BEARINGS.get(bearing) or f"{bearing:.4g}° clockwise from up"


def size_text(size_mm: tuple[float, float], unit: Unit) -> str:
    """Width by length."""
    return f"{write_length(size_mm[0], unit)} × {write_length(size_mm[1], unit)}"


def extent_text(ring: Ring, unit: Unit) -> str:
    """Width by length of a ring's upright box; `shaped, within` when it isn't that box."""
    left, bottom, right, top = bounds(ring)
    size = size_text((right - left, top - bottom), unit)
    square = len(ring) == 4 and {x for x, _ in ring} == {left, right} and {y for _, y in ring} == {bottom, top}
    return size if square else f"shaped, within {size}"


def piece_line(piece: Piece) -> str:
    """Style, colour and lot of a piece in one line."""
    return ", ".join(text for text in (piece.style, piece.colour, f"lot {piece.lot}" if piece.lot else "") if text)


def scale_text(scale: float, unit: Unit) -> str:
    """The drawing's scale as a scale rule names it."""
    named = _RULE_SCALES.get(scale) if is_imperial(unit) else None
    return f"scale 1:{scale:g}" + (f" ({named})" if named else "")


def listed(texts: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    words: Sequence[str] = tuple(texts)
    return " and ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else "".join(words)


def sentence(text: str) -> str:
    """The text with a capital first and a stop at its end."""
    return stopped(text[:1].upper() + text[1:])


def stopped(text: str) -> str:
    """The text with a stop at its end, and never two."""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def sight_lines(plan: Plan) -> tuple[str, ...]:
    """What will be seen of a plan, in sentences, the plainest first, and those that are alike as one."""
    ordered = sorted(plan.sights, key=lambda sight: (-sight.worst, -sight.best))
    return counted(sight.sentence for sight in ordered)


def counted(sentences: Iterable[str]) -> tuple[str, ...]:
    """Each sentence once: `2 seams with the floor, 20 in each: hard to find: ...` where two say the same."""
    told = []
    for said, count in Counter(sentences).items():
        length, colon, rest = said.removeprefix(FLOOR_SEAM).partition(": ")
        if count == 1:
            told.append(said)
        elif colon and said.startswith(FLOOR_SEAM):
            told.append(f"{count} seams with the floor{length} each: {_of_several(rest)}")
        else:
            told.append(f"{said} ({count} of these)")
    return tuple(told)


def _of_several(ground: str) -> str:
    """What is said of one seam, of several."""
    for one, several in (
        ("it runs", "they run"),
        ("it lies", "they lie"),
        ("across it", "across them"),
        ("crosses it", "crosses them"),
    ):
        ground = ground.replace(one, several)
    return ground


def spare_lines(plan: Plan, job: Job, unit: Unit) -> tuple[str, ...]:
    """What a tape may be out, rounded down to what it shows, with a warning below the job's own error; and each seam's play."""
    if plan.spare is None:
        return ()
    step = MM_PER_IN / 16 if is_imperial(unit) else 1.0
    shown = math.floor(plan.spare.plan_mm / step + SAME) * step
    usual = write_length(job.tape_error_mm, unit)
    if not shown:
        first = "No spare: measure the pieces and the patch again before you cut."
    elif shown < job.tape_error_mm:
        first = f"Only {write_length(shown, unit)} to spare, and a tape may be out by {usual}: measure again before you cut."
    else:
        first = f"{write_length(shown, unit)} to spare: a tape may be out by that much at every edge."
    seams = [seam for patch in plan.patches for seam in patch.seams]
    plays = [
        (math.floor(back / step + SAME) * step, math.floor(forth / step + SAME) * step) for back, forth in plan.spare.seams_mm
    ]
    return first, *(
        f"The {SEAMS[seam.kind]} may move {PLAY[seam.kind].format(write_length(forth, unit), write_length(back, unit))}."
        for seam, (back, forth) in zip(seams, plays, strict=False)
        if back or forth
    )


def visible(text: str) -> str:
    """The text with control characters shown as a mark: a name from a file must not steer a terminal."""
    return "".join("\ufffd" if category(letter) == "Cc" and letter != "\n" else letter for letter in text)
