"""One thing a user does, as one transaction: what the command line and the pages call.

An action is a function in a module of its own name. It takes the open `Catalogue` first (none if it needs none), then values of
the model, and gives a frozen value back; it never prints, asks or reads options. Everything that it changes stands in one
`with catalogue.atomic():`, so that it happens whole or not at all. One that changes stock takes `signed` (who, when, why) and a
`key`, so that a request that is sent twice is done once; `booking` has what that takes.

To add one: a module here, a test in `tests/actions/`, and a caller in `cli` or `web`.
"""

from remnants.ledger import Signed
from remnants.store import Catalogue, open_catalogue
from remnants.store.database import connections_kept
from remnants.store.server_address import CatalogueAt

__all__ = ["Catalogue", "CatalogueAt", "Signed", "connections_kept", "open_catalogue"]
