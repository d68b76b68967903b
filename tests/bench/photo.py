"""How often the truth lies within the bar of what is measured in synthetic photographs, by length, distance and tilt.

    python -m tests.bench.photo --seeds 2000
    python -m tests.bench.photo --rendered 40

Poses by chance, of a generator that shares nothing with what measures: another lens, paper that is bent, twisted and waved, a
check bar read up to 0.25 mm wrong, taps off by 3 of 4000 pixels. Corners of the page are off by 0.08 pixels; in pictures of
4000 x 3000 that are drawn, blurred, lit aslant, noisy and stored as JPEG they are off by less, as `--rendered` tells.
"""

import argparse
import time
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from remnants.photo.detect import pages_in
from remnants.photo.marker_page import corners_mm
from remnants.photo.opened import opened
from remnants.photo.view import MOST_CURL_MM
from tests.photo.known import Known, camera_of, lengths_of, measured_by, off_mm, outline_of
from tests.photo.photographs import a_shot, as_jpeg, photographed

TRUTHS = (300.0, 600.0, 1000.0)
TILTS = ((0.0, 10.0), (10.0, 20.0), (20.0, 30.0), (30.0, 40.0), (40.0, 50.0))


def main() -> None:
    """Prints the tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, default=500, help="poses (default 500)")
    parser.add_argument("--first", type=int, default=100_000, help="the first seed")
    parser.add_argument("--rendered", type=int, default=0, help="pictures to draw and look for corners in")
    args = parser.parse_args()
    if args.rendered:
        _rendered(range(args.first, args.first + args.rendered))
        return
    seeds = range(args.first, args.first + args.seeds)
    print(f"seeds {seeds.start} to {seeds.stop - 1}")
    began = time.process_time()
    for pages in (1, 2):
        known = [each for seed in seeds for each in lengths_of(seed, TRUTHS, tilt=(0.0, 50.0), pages=pages)]
        print(f"{'one page' if pages == 1 else 'two pages'}: {(time.process_time() - began) / len(seeds):.3f} s a picture")
        _table(known)
        began = time.process_time()
    found = [each for seed in seeds if (each := outline_of(seed))]
    off = np.array([(off_mm(measured.ring, truth), measured.bar_mm) for measured, truth in found])
    within, far = _share(off[:, 0] <= off[:, 1]), np.quantile(off[:, 0], 0.95)
    print(f"| outline, 12 corners | {len(off)} | {within} | {far:.1f} | {np.median(off[:, 1]):.1f} |")
    _curled(seeds)


def _curled(seeds: range) -> None:
    """What becomes of pages that are bent more and more (mm, standard deviation of each of three terms)."""
    for bent in (0.0, 0.25, 1.0, 2.5):
        chance = np.random.default_rng(seeds.start)
        passed, held, worse = [], [], []
        for seed in seeds[: len(seeds) // 4]:
            shot = a_shot(seed, width=4000)
            terms = chance.normal(0.0, bent, 3)
            page = replace(shot.pages[0], bent=(float(terms[0]), float(terms[1]), float(terms[2])), wave=min(0.6 * bent, 1.0))
            shot, camera = camera_of(replace(shot, pages=(page,)), chance)
            passed.append(max(camera.curls_mm) <= MOST_CURL_MM)
            across, up = np.meshgrid((-92.0, 0.0, 92.0), (-115.0, 0.0, 115.0))
            if np.ptp(page.height(across, up)) > 2.0:
                worse.append(not passed[-1])
            if passed[-1]:
                held += [each.within for each in measured_by(shot, camera, chance, (600.0,))]
        refused = _share(worse) if worse else "none"
        truth = _share(held)
        print(f"| bent by {bent:g} | {_share(passed)} pass | over 2 mm: {refused} refused | truth of what passes {truth} |")


def _table(known: Sequence[Known]) -> None:
    print(
        "| length mm | measured | truth within the bar | 95 % within mm | median bar mm | by tilt: "
        + ", ".join(f"{a:g}-{b:g}" for a, b in TILTS)
    )
    for truth in TRUTHS:
        own = [each for each in known if each.truth_mm == truth]
        off = np.abs([each.mm - truth for each in own])
        by_tilt = [_share([each.within for each in own if low <= each.tilt_deg < high]) for low, high in TILTS]
        bars = np.median([each.bar_mm for each in own])
        within = _share([each.within for each in own])
        print(f"| {truth:g} | {len(own)} | {within} | {np.quantile(off, 0.95):.1f} | {bars:.1f} | {', '.join(by_tilt)} |")


def _share(held: object) -> str:
    return f"{100 * float(np.mean(np.asarray(held))):.1f} %"


def _rendered(seeds: range) -> None:
    """How well corners are found in pictures as a phone stores them."""
    off, missed = [], 0
    seconds = 0.0
    for seed in seeds:
        shot = a_shot(seed, width=4000)
        grey = opened(as_jpeg(photographed(shot), shot.told_35)).grey
        began = time.process_time()
        found = [each for each in pages_in(grey) if each.page == shot.pages[0].page]
        seconds += time.process_time() - began
        missed += not found
        for each in found:
            off.append(each.pixels - shot.corner_pixels(shot.pages[0], corners_mm()[each.corners]))
    error = np.concatenate(off)
    each_s = seconds / len(seeds)
    print(f"{len(seeds)} pictures, {missed} missed, corners off by {error.std():.3f} px each way, found in {each_s:.2f} s each")


if __name__ == "__main__":
    main()
