"""Times without signal: the worker that keeps pages, and the page that stands in for one that wasn't kept."""

from flask import Blueprint, current_app, render_template
from werkzeug.wrappers import Response

from remnants_web.access import anyone

__all__ = ["area"]

area = Blueprint("away", __name__)


@area.get("/away")
@anyone
def away() -> str:
    """Shown without signal; holds no data."""
    return render_template("away.html")


@area.get("/worker.js")
@anyone
def worker() -> Response:
    """The worker, from the root, so that it may keep every page."""
    answer: Response = current_app.send_static_file("worker.js")
    answer.headers["Cache-Control"] = "no-cache"
    return answer
