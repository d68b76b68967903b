"""Synthetic photographs of a marker page on a carpet, with the truth about them.

Nothing is shared with what measures: rays go out of each pixel of a camera that is told by where it stands and what it looks at,
through a lens of another kind (A. W. Fitzgibbon's division model, CVPR 2001), and meet paper that is bent, twisted and waved.
Lengths in mm; x to the right, y up the page, z to the camera.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from remnants.model.phone_lens import PhoneLens
from remnants.photo.marker_page import BOARD_MM, black_of_page

__all__ = ["Laid", "Shot", "a_shot", "as_jpeg", "photographed"]

Floats = NDArray[np.float64]
PX_PER_MM = 5
PAPER = (BOARD_MM[0] + 24.0, BOARD_MM[1] + 30.0)
DIAGONAL_35 = math.hypot(36.0, 24.0)


@dataclass(frozen=True)
class Laid:
    """A page on the carpet: its number, middle, turn, true size of its mm, and how its paper is bent.

    Along x, twisted and along y (mm at half its height); a wave (mm) and where that begins.
    """

    page: int = 7
    middle: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
    scale: float = 1.0
    bent: tuple[float, float, float] = (0.0, 0.0, 0.0)
    wave: float = 0.0
    phase: float = 0.0

    def height(self, x: Floats, y: Floats) -> Floats:
        """How far above the carpet the paper lies at its own x, y."""
        half = BOARD_MM[1] / 2
        bow = self.bent[0] * (x / half) ** 2 + self.bent[1] * x * y / half**2 + self.bent[2] * (y / half) ** 2
        return np.asarray(bow + self.wave * np.sin(0.045 * x + 0.03 * y + self.phase))


@dataclass(frozen=True)
class Shot:
    """Where the camera stood and what it is. `focal_35` is the true focal length; the picture's own data say `told_35`."""

    width: int = 1600
    height: int = 1200
    focal_35: float = 26.0
    told_35: float = 26.0
    tilt_deg: float = 15.0
    from_deg: float = -90.0
    roll_deg: float = 0.0
    away: float = 1400.0
    looks_at: tuple[float, float] = (150.0, 0.0)
    lens: float = 0.0
    off_middle: tuple[float, float] = (0.0, 0.0)
    pages: tuple[Laid, ...] = (Laid(),)
    blur: float = 0.7
    noise: float = 2.5
    shade: float = 0.2
    seed: int = 1

    @property
    def focal_px(self) -> float:
        return self.focal_35 / DIAGONAL_35 * math.hypot(self.width, self.height)

    def _frame(self) -> tuple[Floats, Floats]:
        """Where the lens is, and its axes as rows: right, down, ahead."""
        tilt, way, roll = (math.radians(each) for each in (self.tilt_deg, self.from_deg, self.roll_deg))
        back = np.array([math.sin(tilt) * math.cos(way), math.sin(tilt) * math.sin(way), math.cos(tilt)])
        eye = np.array([*self.looks_at, 0.0]) + self.away * back
        right = np.array([-math.sin(way), math.cos(way), 0.0])
        down = np.cross(-back, right)
        turned = math.cos(roll) * right + math.sin(roll) * down, math.cos(roll) * down - math.sin(roll) * right
        return eye, np.array([*turned, -back])

    def pixel_of(self, points: Floats) -> Floats:
        """Exactly where points of space (rows of x, y, z) are seen."""
        eye, axes = self._frame()
        seen = (points - eye) @ axes.T
        plain = seen[:, :2] / seen[:, 2:]
        far = np.hypot(*plain.T)
        if self.lens:
            shown = (1 - np.sqrt(1 - 4 * self.lens * far**2)) / (2 * self.lens * np.maximum(far, 1e-12))
            plain = plain * np.where(far > 1e-9, shown / np.maximum(far, 1e-12), 1.0)[:, None]
        return np.asarray(plain * self.focal_px + self._middle())

    def _middle(self) -> Floats:
        return np.array([(self.width - 1) / 2 + self.off_middle[0], (self.height - 1) / 2 + self.off_middle[1]])

    def rays(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """The lens, and the ray that goes out of each pixel."""
        eye, axes = self._frame()
        u, v = (x - self._middle()[0]) / self.focal_px, (y - self._middle()[1]) / self.focal_px
        wide = 1 / (1 + self.lens * (u * u + v * v))
        return eye, (u * wide)[..., None] * axes[0] + (v * wide)[..., None] * axes[1] + axes[2]

    def corner_pixels(self, laid: Laid, flat: Floats) -> Floats:
        """Where points of a page (mm as drawn) are seen."""
        own = flat * laid.scale
        turn = math.radians(laid.turn_deg)
        x = own[:, 0] * math.cos(turn) - own[:, 1] * math.sin(turn) + laid.middle[0]
        y = own[:, 0] * math.sin(turn) + own[:, 1] * math.cos(turn) + laid.middle[1]
        return self.pixel_of(np.column_stack((x, y, laid.height(own[:, 0], own[:, 1]))))


@cache
def drawn_page(page: int) -> NDArray[np.uint8]:
    """The page as printed: white paper with its board."""
    across, up = (round(side * PX_PER_MM) for side in PAPER)
    sheet: NDArray[np.uint8] = np.full((up, across), 235, np.uint8)
    for ring in black_of_page(page):
        xs = [round((x + PAPER[0] / 2) * PX_PER_MM) for x, _ in ring]
        ys = [round((PAPER[1] / 2 - y) * PX_PER_MM) for _, y in ring]
        sheet[min(ys) : max(ys), min(xs) : max(xs)] = 25
    return np.asarray(sheet, dtype=np.uint8)


def photographed(
    shot: Shot,
    *,
    stain: NDArray[np.float64] | None = None,
    dark: float = 40.0,
    woven: Callable[[Floats, Floats], Floats] | None = None,
) -> NDArray[np.uint8]:
    """The picture (rows x columns x 3). `stain` is an outline on the carpet that is darker by so many steps of 255.

    `woven` tells how bright the carpet is at x, y (mm), instead of tufts by chance.
    """
    chance = np.random.default_rng(shot.seed)
    y, x = np.mgrid[0 : shot.height, 0 : shot.width].astype(np.float64)
    carpet = 128.0 + chance.normal(0.0, 9.0, (shot.height // 2, shot.width // 2))
    grey = np.asarray(cv2.resize(carpet, (shot.width, shot.height), interpolation=cv2.INTER_LINEAR), dtype=np.float64)
    if woven is not None:
        eye, rays = shot.rays(x, y)
        along = -eye[2] / rays[..., 2]
        grey = woven(eye[0] + along * rays[..., 0], eye[1] + along * rays[..., 1])
    if stain is not None:
        mask = np.zeros(grey.shape, np.uint8)
        ring = shot.pixel_of(np.column_stack((stain, np.zeros(len(stain)))))
        cv2.fillPoly(mask, [np.round(ring * 16).astype(np.int32)], 255, shift=4, lineType=cv2.LINE_AA)
        grey -= dark * mask / 255.0
    for laid in shot.pages:
        _lay(shot, laid, grey)
    light = 1.0 + shot.shade * ((x / shot.width - 0.5) * math.cos(shot.seed) + (y / shot.height - 0.5) * math.sin(shot.seed))
    grey = cv2.GaussianBlur(grey * light, (0, 0), shot.blur)
    coloured = grey[..., None] * np.array([1.0, 0.97, 0.9]) + chance.normal(0.0, shot.noise, (*grey.shape, 3))
    return np.asarray(np.clip(coloured, 0, 255), dtype=np.uint8)


def _lay(shot: Shot, laid: Laid, grey: Floats) -> None:
    """Paints a page into the picture, three rays a pixel each way."""
    rim = np.array([(a * PAPER[0] / 2, b * PAPER[1] / 2) for a in (-1, 0, 1) for b in (-1, 0, 1)])
    seen = shot.corner_pixels(laid, rim)
    left, top = np.maximum(np.floor(seen.min(axis=0)).astype(int) - 4, 0)
    right, bottom = np.minimum(np.ceil(seen.max(axis=0)).astype(int) + 5, [shot.width, shot.height])
    if right <= left or bottom <= top:
        return
    many = 3
    fine_y, fine_x = np.mgrid[0 : (bottom - top) * many, 0 : (right - left) * many].astype(np.float64)
    eye, rays = shot.rays(left + (fine_x + 0.5) / many - 0.5, top + (fine_y + 0.5) / many - 0.5)
    turn, above = math.radians(laid.turn_deg), np.zeros(fine_x.shape)
    for _ in range(3 if laid.wave or any(laid.bent) else 1):  # the carpet is met at once
        along = (above - eye[2]) / rays[..., 2]
        x, y = (eye[axis] + along * rays[..., axis] - laid.middle[axis] for axis in (0, 1))
        own_x, own_y = x * math.cos(turn) + y * math.sin(turn), y * math.cos(turn) - x * math.sin(turn)
        above = laid.height(own_x, own_y)
    own_x, own_y = own_x / laid.scale, own_y / laid.scale
    at_x = ((own_x + PAPER[0] / 2) * PX_PER_MM - 0.5).astype(np.float32)
    at_y = ((PAPER[1] / 2 - own_y) * PX_PER_MM - 0.5).astype(np.float32)
    size = (right - left, bottom - top)
    page = cv2.remap(drawn_page(laid.page), at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=0)
    on_it = (abs(own_x) < PAPER[0] / 2) & (abs(own_y) < PAPER[1] / 2)
    paint = cv2.resize(np.where(on_it, page, 0).astype(np.float64), size, interpolation=cv2.INTER_AREA)
    share = cv2.resize(on_it.astype(np.float64), size, interpolation=cv2.INTER_AREA)
    grey[top:bottom, left:right] = grey[top:bottom, left:right] * (1 - share) + paint


def as_jpeg(
    picture: NDArray[np.uint8],
    told_35: float | None = 26.0,
    *,
    zoom: float | None = None,
    orientation: int | None = None,
    sensor: tuple[int, int] | None = None,
    phone: PhoneLens | None = None,
) -> bytes:
    """The picture as a phone stores it, with what its own data say of the lens and phone; a place and a serial number too, which
    nobody may keep."""
    data = Image.Exif()
    inner = data.get_ifd(0x8769)
    if phone is not None:
        data[0x010F], data[0x0110], inner[0x920A] = f"{phone.make}\0", phone.model, phone.focal_mm
        inner[0xA431] = "S-0042"
    if told_35 is not None:
        inner[0xA405] = round(told_35)
        inner[0xA002], inner[0xA003] = sensor or (picture.shape[1], picture.shape[0])
    if zoom is not None:
        inner[0xA404] = zoom
    if orientation is not None:
        data[0x0112] = orientation
    data.get_ifd(0x8825)[1] = "N"
    out = BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=85, exif=data)
    return out.getvalue()


def a_shot(
    seed: int, *, width: int = 1600, far: tuple[float, float] = (1200.0, 1700.0), tilt: tuple[float, float] = (0.0, 40.0)
) -> Shot:
    """A shot by chance: a phone over the carpet, its lens as phones have them, a page on a clipboard that is never quite flat."""
    chance = np.random.default_rng(seed)
    told = float(chance.choice([24.0, 26.0, 26.0, 28.0]))
    page = Laid(
        page=int(chance.integers(1, 100)),
        turn_deg=0.0,
        scale=1.0,
        bent=tuple(float(each) for each in chance.normal(0.0, 0.25, 3)),  # type: ignore[arg-type]
        wave=float(chance.uniform(0.0, 0.15)),
        phase=float(chance.uniform(0.0, 6.0)),
    )
    shot = Shot(
        width=width,
        height=width * 3 // 4,
        focal_35=told * math.exp(float(chance.normal(0.0, 0.02))),
        told_35=told,
        tilt_deg=float(chance.uniform(*tilt)),
        from_deg=float(chance.uniform(-180.0, 180.0)),
        roll_deg=float(chance.uniform(-180.0, 180.0)),
        away=float(chance.uniform(*far)),
        looks_at=(float(chance.uniform(-250.0, 250.0)), float(chance.uniform(-250.0, 250.0))),
        lens=float(chance.normal(0.0, 0.015)),
        off_middle=(float(chance.normal(0.0, 0.004)) * width, float(chance.normal(0.0, 0.004)) * width),
        blur=float(chance.uniform(0.5, 1.2)),
        noise=float(chance.uniform(1.0, 5.0)),
        shade=float(chance.uniform(0.0, 0.5)),
        seed=seed,
    )
    return replace(shot, pages=(page,))
