"""Packing on whole numbers, without a word of carpet: rectangles that are not turned, on a strip or on donors."""

from remnants.packing.donors.problem import Donor, DonorPacking, DonorProblem, Part, Spot
from remnants.packing.donors.solve import pack_donors
from remnants.packing.strip.bounds import lower_bound
from remnants.packing.strip.divided import Divided, DividedProblem, Divisible, Piece
from remnants.packing.strip.divided_bound import divided_bound
from remnants.packing.strip.divided_starts import shorten_by_starts
from remnants.packing.strip.dividing import QUICK, shorten_divided
from remnants.packing.strip.problem import Item, Lattice, StripPacking, StripProblem, WhyStopped
from remnants.packing.strip.solve import pack_roughly, pack_strip
from remnants.packing.watch import Watch

__all__ = [
    "QUICK",
    "Divided",
    "DividedProblem",
    "Divisible",
    "Donor",
    "DonorPacking",
    "DonorProblem",
    "Item",
    "Lattice",
    "Part",
    "Piece",
    "Spot",
    "StripPacking",
    "StripProblem",
    "Watch",
    "WhyStopped",
    "divided_bound",
    "lower_bound",
    "pack_donors",
    "pack_roughly",
    "pack_strip",
    "shorten_by_starts",
    "shorten_divided",
]
