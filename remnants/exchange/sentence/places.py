"""Words around what is told: those that tell nothing, and those that places and damage are called by.

Common practice, no source. A word that is in neither list, and that nothing else reads, is asked about.
"""

import re

from remnants.model import Kind
from remnants.units import in_plain_marks

__all__ = ["DONORS", "LINKS", "NOISE", "PLACES", "SIDEWORDS", "plainly", "trimmed"]

DONORS = {
    **dict.fromkeys(("closet", "closets", "cupboard", "cupboards", "wardrobe", "wardrobes", "pantry", "under"), Kind.LAID),
    **dict.fromkeys(("attic", "loft", "basement", "cellar", "garage", "shed", "kept"), Kind.KEPT),
    **dict.fromkeys(("offcut", "offcuts"), Kind.OFFCUT),
    **dict.fromkeys(("remnant", "remnants"), Kind.REMNANT),
}
"""Words that open a clause about carpet that is there, and what kind of piece it is."""

_LINKS = """
a an the and of in on at by near beside next to under
behind over between before front opposite from with my our
"""
LINKS = frozenset(_LINKS.split())
"""Words that may stand inside a name: burn by the sofa."""

_NOISE = """
there is are it its it's for has have had i i'm i've i'd
we we've we're you they he she me us need needs needed got get
please patch patches piece pieces then fill filled filling want wants wanted would like
can could will shall should do does make made what which that this these
those there's that's so ok okay um uh er erm well thanks thank hello
hi hey carpet carpets carpeted size sized sizes measures measuring measured measurement about roughly
some your here just bit of be going style colour color called another one's
also all's yes goes laid take use using into out as was were been
missing know think guess say says said let let's now today tomorrow job question
mend mending repair repairing replace replaced cut
"""
NOISE = LINKS | frozenset(_NOISE.split())
"""Words that tell nothing of what is cut."""

_PLACES = """
hall halls hallway corridor passage landing lobby foyer entry entrance entryway vestibule porch stair
stairs staircase stairway stairwell step steps tread treads winder room rooms bedroom bedrooms bed
living lounge sitting family den study office library dining kitchen kitchenette nursery playroom guest
master main spare primary bath bathroom toilet wc ensuite utility laundry mud mudroom sun
sunroom conservatory music games media home cinema gym dressing walk-in box boxroom reception waiting
meeting conference board boardroom classroom shop showroom store storeroom storage flat apartment suite unit
cabin snug parlour parlor bay alcove nook corner doorway door window fireplace hearth radiator
heater vent register sofa couch chair armchair desk table piano cabinet bookcase shelf bookshelf
dresser fridge lamp tv plant aquarium iron burn burns burned burnt scorch stain stains
spill hole holes tear tears rip fray frayed worn-out damage damaged spot mark marks
wear bleach moth moths pet cat dog flood flooded leak cigarette ink wine paint
pull snag middle centre center end side floor floors upstairs downstairs ground first second
third fourth fifth top upper lower bottom rear back front left right north south
east west big large small little long narrow old kids kid's children's boys girls
child's guest's mum's dad's closet closets cupboard cupboards wardrobe wardrobes pantry attic loft basement
cellar garage shed kept offcut offcuts remnant remnants
"""
PLACES = frozenset(_PLACES.split())
"""Words that rooms, damage and what stands in a room are called by."""

SIDEWORDS = frozenset(("left", "right", "top", "upper", "bottom", "lower", "up", "down", "back", "front", "far", "near"))
"""Words of sides, which name a place only beside another word: back bedroom."""


def trimmed(words: list[str]) -> list[str]:
    """Words without those at either end that tell nothing: `the hall is` is the hall."""
    kept = list(words)
    while kept and kept[-1] in NOISE:
        kept.pop()
    while kept and kept[0] in NOISE and kept[0] not in DONORS:
        kept.pop(0)
    return kept


_IS = re.compile(rf"\b({'|'.join(sorted(PLACES | {'it', 'that', 'there', 'here', 'pile', 'what'}, key=len, reverse=True))})'s\b")


def plainly(text: str) -> str:
    """A sentence in plain marks and lower case, figures for numbers and `is` for `the window's`."""
    return _IS.sub(r"\1 is", in_plain_marks(text))
