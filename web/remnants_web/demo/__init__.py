"""An invented shop to try the pages on: stock, twelve weeks of its ledger, and people with passphrases made at each start."""

from remnants_web.demo.accounts import Account, make_accounts
from remnants_web.demo.story import tell

__all__ = ["Account", "make_accounts", "tell"]
