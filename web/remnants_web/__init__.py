"""Remnants in a browser: the phone in the hallway, the screen at the dock, the desk."""

from remnants_web.app import create_app
from remnants_web.settings import Settings

__all__ = ["Settings", "create_app"]
