"""The app, put together: one blueprint an area, one guard before all of them."""

from flask import Flask
from jinja2 import StrictUndefined
from werkzeug.middleware.proxy_fix import ProxyFix

from remnants.desk import Desk, InPlace
from remnants.limits import FORM_PARTS
from remnants_web.access import check_all_said, guard
from remnants_web.api import area as api
from remnants_web.ask import area as ask
from remnants_web.ask import keep_desks
from remnants_web.away import area as away
from remnants_web.bookings import area as bookings
from remnants_web.changes import area as changes
from remnants_web.clear_out import area as clear_out
from remnants_web.clear_together import area as clear_together
from remnants_web.coming_in import area as coming
from remnants_web.count import area as count
from remnants_web.customer_page import area as customer_page
from remnants_web.dock_lend import area as dock
from remnants_web.door_book import area as door_book
from remnants_web.headers import add_headers
from remnants_web.job_photos import area as job_photos
from remnants_web.log_sheet import area as log
from remnants_web.looked_back import area as looked_back
from remnants_web.me import area as me
from remnants_web.measured import area as measure
from remnants_web.order_drawn import area as order
from remnants_web.orders import area as orders
from remnants_web.pace import area as pace
from remnants_web.patch import area as patch
from remnants_web.people import area as people
from remnants_web.phones import area as phones
from remnants_web.photos import area as photos
from remnants_web.pieces import area as pieces
from remnants_web.previews import area as previews
from remnants_web.prices import area as prices
from remnants_web.problems import add_problems
from remnants_web.propose import area as propose
from remnants_web.racks import area as racks
from remnants_web.rules import area as rules
from remnants_web.said import area as said
from remnants_web.second_factor import area as second_factor
from remnants_web.settings import Settings
from remnants_web.shop import open_shop
from remnants_web.shown import keep_answers
from remnants_web.start import area as start
from remnants_web.stock import area as stock
from remnants_web.stock import keep_figures
from remnants_web.tags import area as tags
from remnants_web.transfers import area as transfers
from remnants_web.unsent import area as unsent
from remnants_web.whole_lengths import keep_lengths_whole
from remnants_web.words import add_words
from remnants_web.worth import area as worth

__all__ = ["create_app"]

AREAS = (
    *(
        start,
        said,
        patch,
        propose,
        measure,
        phones,
        pieces,
        log,
        bookings,
        previews,
        job_photos,
        looked_back,
        changes,
        count,
        dock,
        photos,
        racks,
        tags,
        order,
    ),
    *(
        stock,
        worth,
        clear_out,
        clear_together,
        transfers,
        me,
        second_factor,
        people,
        door_book,
        rules,
        prices,
        orders,
        coming,
        pace,
        unsent,
        away,
        api,
        ask,
        customer_page,
    ),
)


def create_app(settings: Settings, desk: Desk | None = None, reading: Desk | None = None) -> Flask:
    """A WSGI app that serves one catalogue; what takes long is worked out at the `desk`, what is sent read at `reading`.

    Without them it is done by whoever asks. Raises RuntimeError when a view does not say who may use it.
    """
    app = Flask(__name__)
    app.config.update(
        MAX_CONTENT_LENGTH=settings.largest_body,
        MAX_FORM_MEMORY_SIZE=settings.largest_form,
        MAX_FORM_PARTS=FORM_PARTS,
        SEND_FILE_MAX_AGE_DEFAULT=3600,
    )
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.json.sort_keys = False  # type: ignore[attr-defined]
    open_shop(app, settings)
    keep_desks(app, desk or InPlace(), reading or InPlace())
    keep_figures(app)
    keep_answers(app)
    app.before_request(guard)
    keep_lengths_whole(app)
    add_headers(app)
    add_problems(app)
    add_words(app)
    for area in AREAS:
        app.register_blueprint(area)
    check_all_said(app)
    if settings.proxies:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=settings.proxies, x_proto=settings.proxies)  # type: ignore[method-assign]
    return app
