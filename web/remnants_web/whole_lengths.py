"""Every page keeps its lengths on one line: what is read on it is passed once, just before it is sent."""

import re

from flask import Flask
from werkzeug.wrappers import Response

from remnants.kept_whole import whole_lengths

__all__ = ["keep_lengths_whole"]

_READ = re.compile(r"(<(script|style|textarea|option|title)\b.*?</\2>|<[^>]*>)", re.DOTALL)
"""What stays as it is: tags with their values, and texts that a browser sends back or doesn't show in lines."""


def keep_lengths_whole(app: Flask) -> None:
    """Adds it to each page, those that refuse too; what isn't HTML stays as it is."""
    app.after_request(_whole)


def _whole(response: Response) -> Response:
    if response.mimetype == "text/html" and not response.is_streamed and not response.direct_passthrough:
        response.set_data(_page(response.get_data(as_text=True)))
    return response


def _page(page: str) -> str:
    parts = _READ.split(page)  # a text, what parts it from the next, and the name of that tag if it was taken with its text
    parts[::3] = (whole_lengths(text) for text in parts[::3])
    return "".join(text for at, text in enumerate(parts) if at % 3 != 2)
