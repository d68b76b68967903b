"""An invented shop to try the pages on: stock, twelve weeks of its ledger, and people with passphrases made at each start."""

from web.demo.accounts import Account, make_accounts
from web.demo.story import tell

__all__ = ["Account", "make_accounts", "tell"]
