"""Cautions, each said where its danger is met. They are the usual ones; local codes and licensed practice come first."""

from dataclasses import dataclass
from enum import Enum

from remnants.materials.rules import COMMON

__all__ = ["Caution", "Warned"]


@dataclass(frozen=True, slots=True)
class Warned:
    """What to mind, where the advice comes from, and what the danger is called where it is met again."""

    text: str
    source: str
    name: str


class Caution(Enum):
    """A danger of the work."""

    OLD_FLOOR = Warned(
        "Local codes and licensed practice come first. Old flooring, backing and adhesive under this carpet may hold asbestos: "
        "in the US presume it of asphalt or vinyl flooring laid no later than 1980, and don't take later flooring to be free of "
        "it; in the UK presume it in any building built or refurbished before 2000. Don't disturb, sand, scrape dry, sweep or "
        "heat it: have it tested first.",
        "OSHA letter of 1 Aug 1997 on 29 CFR 1926.1101; UK netregs.org.uk, working with asbestos",
        "old floors",
    )
    KNIFE = Warned(
        "Cut away from your hand and body; change a dull blade; cap the knife when you lay it down.", COMMON, "the knife"
    )
    IRON = Warned(
        "The iron burns skin, pile and pad. Keep the shield under it, park it on its stand, and lay no metal weight on a hot "
        "seam.",
        "CRI 105 (2015), 10.3.1",
        "the hot iron",
    )
    VAPOUR = Warned(
        "Sealer, adhesive, solvent and hot tape give off vapour: open the room, keep flames away, read the safety sheet.",
        "CRI 105 (2019), 7.3",
        "vapour",
    )
    PINS = Warned("Strip pins stab: gloves on, knees and palms clear of the strip.", COMMON, "strip pins")
    KNEES = Warned("Kneel on pads, not on the kicker's floor; change posture often.", COMMON, "knees")
    TWO_PEOPLE = Warned(
        "Over 23 kg (51 lb), or bulky: two people or a trolley. A long roll is never a lift for one.",
        "NIOSH lifting equation, load constant 23 kg",
        "heavy loads",
    )
    ROLLS = Warned("Block stacked rolls before you pull one out, so that they can't roll.", COMMON, "stacked rolls")
