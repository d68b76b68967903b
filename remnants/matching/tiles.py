"""A picture as a grid of tiles: mean colour and texture of each, and the flat areas among them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Tiles", "largest_patch", "tiled"]

Floats = NDArray[np.float64]
Marks = NDArray[np.bool_]

SAME_LEVEL = 12.0
"""Neighbouring flat tiles within this much (of 255) in each channel belong to one area."""


@dataclass(frozen=True)
class Tiles:
    """By row and column of the grid: `level` mean sRGB (0 to 255), `colour` mean linear light (0 to 1), `spread` the standard
    deviation of lightness (of 255)."""

    level: Floats
    colour: Floats
    spread: Floats

    def within(self, area: tuple[float, float, float, float]) -> Marks:
        """The tiles whose middle lies in an area given as left, top, width, height in shares of the picture."""
        left, top, width, height = area
        rows, columns = self.spread.shape
        y = (np.arange(rows) + 0.5) / rows
        x = (np.arange(columns) + 0.5) / columns
        return np.outer((y >= top) & (y <= top + height), (x >= left) & (x <= left + width))

    def beside(self, marks: Marks) -> Marks:
        """The marked tiles and those next to them, corners too."""
        padded = np.pad(marks, 1)
        rows, columns = marks.shape
        found = np.zeros_like(marks)
        for down in range(3):
            for right in range(3):
                found |= padded[down : down + rows, right : right + columns]
        return found


def tiled(pixels: Floats, across: int) -> Tiles:
    """The grid of square tiles, `across` on the longer side, of a picture in sRGB (rows x columns x 3, 0 to 255)."""
    size = max(4, max(pixels.shape[:2]) // across)
    rows, columns = pixels.shape[0] // size, pixels.shape[1] // size
    blocks = pixels[: rows * size, : columns * size].reshape(rows, size, columns, size, 3)
    share = blocks / 255
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return Tiles(blocks.mean(axis=(1, 3)), linear.mean(axis=(1, 3)), blocks.mean(axis=4).std(axis=(1, 3)))


def largest_patch(marks: Marks, level: Floats) -> tuple[Marks, float]:
    """The largest connected area of marked tiles of about one colour, and the second largest's share of all tiles."""
    left = marks.copy()
    areas: list[Marks] = []
    for row, column in zip(*np.nonzero(marks), strict=True):
        if left[row, column]:
            areas.append(_grown((int(row), int(column)), left, level))
    areas.sort(key=lambda area: -int(area.sum()))
    if not areas:
        return np.zeros_like(marks), 0.0
    return areas[0], float(areas[1].mean()) if len(areas) > 1 else 0.0


def _grown(start: tuple[int, int], left: Marks, level: Floats) -> Marks:
    """The area that grows from a tile over neighbours of about its colour; takes its tiles out of `left`."""
    area = np.zeros_like(left)
    edge = [start]
    left[start] = False
    while edge:
        row, column = edge.pop()
        area[row, column] = True
        for there in ((row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1)):
            inside = 0 <= there[0] < left.shape[0] and 0 <= there[1] < left.shape[1]
            if inside and left[there] and np.abs(level[there] - level[row, column]).max() <= SAME_LEVEL:
                left[there] = False
                edge.append(there)
    return area
