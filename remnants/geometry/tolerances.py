"""Every tolerance of lengths, each with its reason (mm). What a solver forgives is named where it is called.

The proof has its own, in `remnants.proof.lines`; `tests/test_structure.py` holds that there is no third home.
"""

import math

__all__ = [
    "ASLANT_MM",
    "BESIDE_MM",
    "CLOSE_MM",
    "DUST_MM",
    "EVENT_MM",
    "GIVE_MM",
    "HAIR_MM",
    "MICROMETRES_MM",
    "NUDGE_MM",
    "SLIDE_MM",
    "SPECK_MM",
    "TIP_MM",
    "TOLERANCE_MM",
    "UNION_GRID_MM",
    "WHOLE",
]

TOLERANCE_MM = 0.01
"""Two lengths this near are equal: far below what a knife can do, far above what floats and unit changes leave."""

ASLANT_MM = math.sqrt(2) * TOLERANCE_MM
"""What a corner may be off, seen aslant, that is set within the tolerance across and along: what is thinner is no carpet left."""

TIP_MM = 20.0
"""So much of a sharp tip may be thinner than the tolerance: of one as sharp as a thirtieth of a degree."""

SLIDE_MM = 1.0
"""So far a corner slides along a slanted side at most, where the other side is set on a line: a slope of a hundredth."""

SPECK_MM = 2.0
"""Remains that have no more edge than this, all together, are specks and told to nobody: under a third of a square millimetre."""

BESIDE_MM = 2 * TOLERANCE_MM
"""A seam this near to where a doorway, a lane or furniture begins or ends counts as at it."""

NUDGE_MM = 0.003
"""A step off a corner of a patch: more than what edges without length are dropped at, less than the tolerance."""

GIVE_MM = TOLERANCE_MM / 4
"""What each straight condition of a solver forgives: part and donor together stay within the tolerance."""

CLOSE_MM = 0.002
"""How closely a threshold is found: well under the half tolerance that both donors of a joint are grown by."""

MICROMETRES_MM = 0.002
"""What a grid of whole micrometres may take from a part that just fits: room is told this much short, or forgiven."""

UNION_GRID_MM = 1e-4
"""Grid on which strips are united: a tenth of a micrometre, so that shared borders leave no slivers."""

EVENT_MM = 1e-4
"""How closely a place of a seam is found at which its cuts change their kind."""

HAIR_MM = TOLERANCE_MM / 1000
"""So little may a straight line bend inward, so near a ring that touches itself is; and the grid that remains lie on."""

DUST_MM = 1e-6
"""What floats may leave between a side and the edge that it touches, or of two sums alike: a ten-thousandth of the tolerance."""

WHOLE = 1e-9
"""A number this near to a whole one is whole: what floats lose where one length is divided by another."""
