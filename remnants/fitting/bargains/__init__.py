"""What would make a no a yes? The changes that a technician can make, and the least of each that does."""

from remnants.fitting.bargains.search import MOST_FITS, bargains_for

__all__ = ["MOST_FITS", "bargains_for"]
