"""The other carpets of a house, as they are typed: a line each, with what it is called, its style, colour, roll and price."""

from typing import Any

from remnants.errors import Fault

__all__ = ["CARPETS_FIELD", "carpets_typed"]

CARPETS_FIELD = "other_carpets"
FEWEST, MOST = 4, 5


def carpets_typed(text: str, price: dict[str, str], faults: list[Fault]) -> list[dict[str, Any]]:
    """Entries of a rooms file out of lines such as `bedrooms, Ambry Plain, Slate, 4 m, 24.50`; others are noted in `faults`.

    `price` is what the form says of a price but for its amount: the currency, and what it is for.
    """
    carpets = []
    for line in (line.strip() for line in text.splitlines()):
        cells = [cell.strip() for cell in line.split(",")]
        if line and not FEWEST <= len(cells) <= MOST:
            how = "write what you call it, style, colour, how wide its roll is, and a price or none"
            faults.append(Fault(CARPETS_FIELD, f"{line[:40]!r} is no carpet: {how}"))
        elif line:
            name, style, colour, width, *amount = cells
            carpet: dict[str, Any] = {"name": name, "style": style, "colour": colour, "roll": {"width": width} if width else {}}
            carpets.append(carpet | ({"prices": [price | {"amount": amount[0]}]} if amount and amount[0] else {}))
    return carpets
