"""From a proved plan to the sheet for the floor: texts and fonts read, backfill of laid donors planned with the same engine."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from importlib.resources import files
from math import ceil
from pathlib import Path

from remnants.actions.fit_job import Fitted, fit_stock
from remnants.errors import BadFile, Fault, NoPlan, StockChanged
from remnants.exchange import Stock
from remnants.fitting import FitRules
from remnants.fitting.patch.worth import outlines_worth_mm2
from remnants.geometry import Ring
from remnants.geometry.remainders import remainders
from remnants.ledger import replay
from remnants.ledger.states import ON_HAND
from remnants.materials.backfill import backfill_tries
from remnants.materials.cuts import donors_of
from remnants.materials.needs import Fixing
from remnants.materials.rules import MaterialRules
from remnants.materials.steps import Setting
from remnants.model import Job, Kind, Piece, Plan, Style
from remnants.model.merit import STEP_MM2
from remnants.model.picture import RepairPicture
from remnants.proof import check_plan
from remnants.report.customer import NAMES, Texts
from remnants.report.pdf import Fonts
from remnants.report.sheet import Backfill, Sheet
from remnants.rules import LeastSizes
from remnants.store import Catalogue, ledger, pieces, styles
from remnants.units import Unit

__all__ = ["SheetWish", "fonts", "held_plan", "kept_plan", "make_sheet", "own_texts", "plan_as_cut", "texts_in"]


@dataclass(frozen=True)
class SheetWish:
    """How a sheet is wanted: carpet held how, by which figures, in which unit, with which texts, and a link for its code.

    Without `backfill` nothing is sought that might fill the holes in laid donors. `note` stands at the foot of each page. With
    `back` the donors are drawn mirrored, for cutting from the back. `repairs` are shown on the customer's page. `keep` says
    which leftovers of what fills holes are worth anything.
    """

    texts: Texts
    fixing: Fixing = Fixing.STRETCHED
    rules: MaterialRules = field(default_factory=MaterialRules)
    unit: Unit | None = None
    link: str = ""
    backfill: bool = True
    note: str = ""
    back: bool = False
    repairs: tuple[RepairPicture, ...] = ()
    keep: LeastSizes = field(default_factory=LeastSizes)


def make_sheet(fitted: Fitted, wish: SheetWish) -> Sheet:
    """What the sheet of a proved plan holds. Raises NoPlan when the plan cuts nothing."""
    if not donors_of(fitted.plan):
        why = "; ".join(short.reason for short in fitted.plan.short)
        raise NoPlan(f"nothing can be cut for {fitted.job.name!r}, so there is no sheet to make: {why}")
    unit = wish.unit or Unit(fitted.job.unit)
    setting = Setting(fitted.pieces, fitted.styles, wish.rules, wish.fixing, unit)
    backfill = _backfill(fitted, FitRules(keep=wish.keep)) if wish.backfill else None
    return Sheet(fitted.plan, fitted.job, setting, wish.texts, wish.link, backfill, wish.note, wish.back, wish.repairs)


def held_plan(plan: Plan, job: Job, *, by_tag: Mapping[str, Piece], by_name: Mapping[str, Style]) -> Fitted:
    """A plan made earlier, proved anew against the stock as it is. Raises StockChanged with every fault if it no longer holds."""
    faults = [str(fault) for fault in check_plan(job, by_tag, by_name, plan)]
    if faults:
        raise StockChanged(f"the plan no longer holds for {job.name!r}: {'; '.join(faults)}. Fit the job again")
    return Fitted(plan, job, by_tag, by_name)


def kept_plan(catalogue: Catalogue, plan: Plan, job: Job) -> Fitted:
    """As `held_plan`, against what the catalogue holds: the pieces that the plan names.

    Where a floor is cut it is against all that is there, as the hole in it may be filled from any piece (`make_sheet`).
    """
    named = pieces.standings_tagged(catalogue, _named_in(plan)).values()
    by_tag = {standing.piece.tag: standing.piece for standing in named if standing.stage in ON_HAND}
    if any(by_tag[tag].kind is Kind.LAID for tag in donors_of(plan) if tag in by_tag):
        by_tag = {standing.piece.tag: standing.piece for standing in pieces.on_hand(catalogue)}
    return held_plan(plan, job, by_tag=by_tag, by_name=styles.all_styles(catalogue))


def _named_in(plan: Plan) -> list[str]:
    """The tags of the pieces that a plan cuts or tells sizes of, in order; of those that it passes over only the tag is told."""
    told = {part.piece for answer in plan.patches for part in answer.parts}
    told |= {left.piece for left in plan.leftovers} | {each.piece for each in plan.asking}
    return sorted(told | {figure.piece for no in plan.proof for figure in no.figures})


def plan_as_cut(catalogue: Catalogue, plan: Plan, job: Job, *, versions: Mapping[str, int]) -> Fitted:
    """A plan that was cut, with its donors as they lay before: `versions` are those of the donors just after the cut.

    Raises StockChanged when the ledger's donors don't bear the plan out.
    """
    before = {
        tag: replay(entry for entry in ledger.entries_of(catalogue, tag) if entry.number < version).standing
        for tag, version in versions.items()
    }
    by_tag = {tag: standing.piece for tag, standing in before.items() if standing}
    return held_plan(plan, job, by_tag=by_tag, by_name=styles.all_styles(catalogue))


def own_texts() -> Texts:
    """The text templates that come with the program."""
    folder = files("remnants.report") / "texts"
    return Texts(*((folder / f"{name}.txt").read_text(encoding="utf-8") for name in NAMES))


def texts_in(folder: Path) -> Texts:
    """The text templates in a shop's folder. Raises BadFile with every one that is missing or can't be read."""
    found, faults = [], []
    for name in NAMES:
        path = folder / f"{name}.txt"
        try:
            found.append(path.read_text(encoding="utf-8"))
        except FileNotFoundError:
            faults.append(Fault(str(path), "this text template is missing; copy the usual ones with `remnants texts FOLDER`"))
        except (OSError, UnicodeDecodeError) as error:
            faults.append(Fault(str(path), f"can't be read ({getattr(error, 'strerror', None) or 'it is not UTF-8'})"))
    if faults:
        raise BadFile(faults)
    return Texts(*found)


def fonts() -> Fonts:
    """The fonts that come with the program."""
    folder = files("remnants.report") / "fonts"
    return Fonts((folder / "DejaVuSans.ttf").read_bytes(), (folder / "DejaVuSans-Bold.ttf").read_bytes())


def _backfill(fitted: Fitted, rules: FitRules) -> Backfill | None:
    """What may fill the holes in laid donors: stored and kept pieces left alone, and the largest rest of those that are cut."""
    tries = backfill_tries(fitted.plan, fitted.job, fitted.pieces)
    if not tries:
        return None
    used = set(donors_of(fitted.plan))
    offered = [piece for piece in fitted.pieces.values() if piece.kind is not Kind.LAID and piece.tag not in used]
    for tag in sorted(used):
        rests = [left for left in fitted.plan.leftovers if left.piece == tag and left.usable]
        if rests and fitted.pieces[tag].kind is not Kind.LAID:
            offered.append(replace(fitted.pieces[tag], outline=rests[0].outline))
    stock = Stock(tuple(fitted.styles.values()), tuple(offered))
    best: Backfill | None = None
    for jobs in tries:
        made = [Backfill(fit_stock(stock, job, rules=rules).plan, job, stock.piece_of) for job in jobs]
        whole = [each for each in made if _filled(each) == len(each.job.patches)]
        if whole:
            return min(whole, key=lambda each: _cost(each, rules))
        best = made[0] if best is None else max(best, made[0], key=_filled)
    return best


def _cost(backfill: Backfill, rules: FitRules) -> tuple[int, int]:
    """Steps of worth that it takes from the stock, rounded up, then the parts that it is laid from."""
    cuts: dict[str, list[Ring]] = {}
    for answer in backfill.plan.patches:
        for part in answer.parts:
            cuts.setdefault(part.piece, []).append(part.cut)
    spent_mm2 = 0.0
    for tag, rings in cuts.items():
        piece = backfill.pieces[tag]
        before, after = (
            outlines_worth_mm2(remainders(piece.outline, taken), piece.pile_deg, rules, style=piece.style)
            for taken in ((), rings)
        )
        spent_mm2 += before - after
    return ceil(round(spent_mm2, 3) / STEP_MM2), sum(len(answer.parts) for answer in backfill.plan.patches)


def _filled(backfill: Backfill) -> int:
    return sum(bool(answer.parts) for answer in backfill.plan.patches)
