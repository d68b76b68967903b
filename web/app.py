"""The app, put together: one blueprint an area, one guard before all of them."""

from flask import Flask
from jinja2 import StrictUndefined
from werkzeug.middleware.proxy_fix import ProxyFix

from web.access import check_all_said, guard
from web.api import area as api
from web.away import area as away
from web.bookings import area as bookings
from web.changes import area as changes
from web.count import area as count
from web.estimates import keep_estimates
from web.headers import add_headers
from web.log import area as log
from web.me import area as me
from web.order import area as order
from web.patch import area as patch
from web.people import area as people
from web.photos import area as photos
from web.pieces import area as pieces
from web.problems import add_problems
from web.racks import area as racks
from web.settings import Settings
from web.shop import open_shop
from web.start import area as start
from web.stock import area as stock
from web.stock import keep_figures
from web.tags import area as tags
from web.words import add_words

__all__ = ["create_app"]

AREAS = (start, patch, pieces, log, bookings, changes, count, photos, racks, tags, order, stock, me, people, away, api)


def create_app(settings: Settings) -> Flask:
    """A WSGI app that serves one catalogue. Raises RuntimeError when a view does not say who may use it."""
    app = Flask(__name__)
    app.config.update(
        MAX_CONTENT_LENGTH=settings.largest_body,
        MAX_FORM_MEMORY_SIZE=settings.largest_form,
        MAX_FORM_PARTS=600,
        TRUSTED_HOSTS=list(settings.hosts),
        SEND_FILE_MAX_AGE_DEFAULT=3600,
    )
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.json.sort_keys = False  # type: ignore[attr-defined]
    open_shop(app, settings)
    keep_estimates(app)
    keep_figures(app)
    app.before_request(guard)
    add_headers(app)
    add_problems(app)
    add_words(app)
    for area in AREAS:
        app.register_blueprint(area)
    check_all_said(app)
    if settings.proxies:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=settings.proxies, x_proto=settings.proxies)  # type: ignore[method-assign]
    return app
