"""Least sizes of a style's own: of a rare wool narrow strips are kept, of a cheap loop nothing under a metre."""

from collections.abc import Mapping

from remnants.actions.booking import once
from remnants.actions.shop_rules import InForce, read_changes, rules_in_force
from remnants.errors import BadInput, Fault, NotFound
from remnants.ledger import Signed
from remnants.rules import RULES, SIZES
from remnants.store import Catalogue, shop_rules, styles
from remnants.store.worth_kept import tell_least
from remnants.units import Unit

__all__ = ["STYLES_WITH_SIZES", "change_sizes"]

STYLES_WITH_SIZES = 200
"""More styles with sizes of their own would make each list of the stock slow (common practice, no source)."""


def change_sizes(
    catalogue: Catalogue, style: str, changes: Mapping[str, str], *, unit: Unit, signed: Signed, key: str = ""
) -> InForce:
    """Sets what a style has of its own to the figures in texts (`usual`: as the shop's), all of them or none; gives what is in
    force then.

    Raises NotFound for a style that no piece has, BadInput as `change_rules`, and for a rule that is the shop's alone.
    """
    whole = {rule.name for rule in RULES} - {rule.name for rule in SIZES}
    ours = " and ".join(rule.name for rule in SIZES)
    faults = [Fault(name, f"it holds for all styles alike; a style has {ours} of its own") for name in changes if name in whole]
    if faults:
        raise BadInput(faults)
    values = read_changes(changes, unit)
    if style not in styles.all_styles(catalogue):
        raise NotFound(f"no style is called {style!r}; `remnants style` lists those there are")

    def do() -> None:
        for name, value in values.items():
            shop_rules.put_of_style(catalogue, style, name, value, signed)
        if len({each.style for each in shop_rules.every_style_rule(catalogue)}) > STYLES_WITH_SIZES:
            told = f"{STYLES_WITH_SIZES} styles have sizes of their own; no more can: take some back first"
            raise BadInput([Fault("style", told)])
        tell_least(catalogue, rules_in_force(catalogue, today=signed.at.date()).least)

    once(catalogue, key, ["sizes", style, values], signed, do)
    return rules_in_force(catalogue, today=signed.at.date())
