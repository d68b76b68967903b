"""Packing on whole numbers, without a word of carpet: rectangles that are not turned, on a strip."""

from remnants.packing.solve import pack_strip
from remnants.packing.strip import Item, Lattice, StripPacking, StripProblem, WhyStopped
from remnants.packing.watch import Watch

__all__ = ["Item", "Lattice", "StripPacking", "StripProblem", "Watch", "WhyStopped", "pack_strip"]
