"""Remnants: can the carpet we have make the patch we need?"""

__version__ = "0.1.0"

__all__ = ["__version__"]
