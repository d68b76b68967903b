"""How often the truth lies within the bar once a phone was calibrated, beside the same pictures without; and what is told apart.

    python -m tests.bench.phone --phones 200

Phones by chance, each with a lens of its own; eight pictures of the marker page as people are asked to take them; then pictures
of a floor that nobody looked at before, by the generator of `tests.bench.photo`. For each picture the phone focuses anew and
steadies its lens, by as much as is allowed for (`moving`), or not at all (`still`), or by twice as much.
"""

import argparse
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from remnants.errors import NotMeasured
from remnants.model.phone_lens import PhoneCalibration
from remnants.photo.calibration import calibrated
from tests.photo.known import Known
from tests.photo.phones import a_phone, measured_with, moved, photo_in, shots_of, with_lens_of
from tests.photo.photographs import Shot, a_shot

TRUTHS = (300.0, 600.0, 1000.0)
CHANGES: dict[str, Callable[[Shot, int], Shot]] = {
    "3 % longer": lambda phone, _: replace(phone, focal_35=phone.focal_35 * 1.03),
    "8 % longer": lambda phone, _: replace(phone, focal_35=phone.focal_35 * 1.08),
    "bent by 0.05 more": lambda phone, _: replace(phone, lens=phone.lens + 0.05),
    "that of any other phone": lambda phone, seed: with_lens_of(_as_told(a_phone(seed + 50_000), phone.told_35), phone),
}
"""What may become of a lens that tells the same of itself."""


def _as_told(phone: Shot, told_35: float) -> Shot:
    """The phone, were it one whose pictures tell that lens."""
    return replace(phone, told_35=told_35, focal_35=phone.focal_35 * told_35 / phone.told_35)


def main() -> None:
    """Prints the tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--phones", type=int, default=100, help="phones (default 100)")
    parser.add_argument("--pictures", type=int, default=5, help="pictures measured in with each (default 5)")
    parser.add_argument("--first", type=int, default=600_000, help="the first seed")
    args = parser.parse_args()
    seeds = range(args.first, args.first + args.phones)
    print(
        f"seeds {seeds.start} to {seeds.stop - 1}, {args.pictures} pictures with each phone; half of them but for the first table"
    )
    few = seeds[: len(seeds) // 2]
    for word, share, some in (("moving", 1.0, seeds), ("still", 0.0, few), ("moving twice as much", 2.0, few)):
        _phones(word, share, some, args.pictures)
    _changed(few, args.pictures)


def calibration_of(phone: Shot, chance: np.random.Generator, share: float) -> PhoneCalibration | None:
    """What eight pictures tell of a phone; None where that is refused."""
    try:
        return calibrated([photo_in(moved(shot, chance, share), chance) for shot in shots_of(phone, chance)])
    except NotMeasured:
        return None


def _phones(word: str, share: float, seeds: range, pictures: int) -> None:
    before: list[Known] = []
    since: list[Known] = []
    refused = against = 0
    seconds = 0.0
    for seed in seeds:
        phone, chance = a_phone(seed), np.random.default_rng(seed)
        began = time.process_time()
        calibration = calibration_of(phone, chance, share)
        seconds += time.process_time() - began
        refused += calibration is None
        for number in range(pictures) if calibration else ():
            shot = moved(with_lens_of(phone, a_shot(seed * 100 + number, width=4000)), chance, share)
            plain, by_phone, speaks = measured_with(shot, calibration, chance, TRUTHS) if calibration else ([], [], False)
            before, since, against = before + plain, since + by_phone, against + speaks
    print(f"{word}: {refused} of {len(seeds)} calibrations refused, {seconds / len(seeds):.2f} s each")
    print(f"  spoken against: {against} of {(len(seeds) - refused) * pictures} pictures")
    print("  | length mm | calibrated | measured | truth within the bar | 95 % within mm | median bar mm |")
    for truth in TRUTHS:
        for told, known in (("no", before), ("yes", since)):
            own = [each for each in known if each.truth_mm == truth]
            off, bars = np.array([(abs(each.mm - truth), each.bar_mm) for each in own]).T
            within = 100 * float(np.mean(off <= bars))
            print(
                f"  | {truth:g} | {told} | {len(own)} | {within:.1f} % | {np.quantile(off, 0.95):.1f} | {np.median(bars):.1f} |"
            )


def _changed(seeds: range, pictures: int) -> None:
    """How often it is told that a lens is another one than was calibrated, and what the bars are worth where it is not."""
    told: dict[str, list[bool]] = {word: [] for word in CHANGES}
    rest: dict[str, list[bool]] = {word: [] for word in CHANGES}
    for seed in seeds:
        phone, chance = a_phone(seed), np.random.default_rng(seed)
        calibration = calibration_of(phone, chance, 1.0)
        for word, change in CHANGES.items() if calibration else ():
            for number in range(pictures) if calibration else ():
                shot = moved(with_lens_of(change(phone, seed), a_shot(seed * 100 + number, width=4000)), chance)
                _, by_phone, against = measured_with(shot, calibration, chance, TRUTHS) if calibration else ([], [], False)
                told[word].append(against)
                rest[word] += [] if against else [each.within for each in by_phone]
    print("| the lens is now | spoken against | truth within the bar, of the rest |")
    for word in CHANGES:
        share = 100 * np.mean(told[word])
        print(f"| {word} | {share:.0f} % of {len(told[word])} | {100 * np.mean(rest[word]):.1f} % of {len(rest[word])} |")


if __name__ == "__main__":
    main()
