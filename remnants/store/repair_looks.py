"""What was seen of repairs once they were made, as entries of the pieces they were cut from, and the step that lets them in."""

from collections.abc import Iterator

from remnants.ledger import LookedAt
from remnants.ledger.looks import KeptLook
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import STORE_CHANGED_BY
from remnants.store.ledger import entry_in

__all__ = ["LOOKS_OF_ENTRIES", "LOOKS_OF_ENTRIES_ON_SERVER", "count_cut_jobs", "looks_of", "looks_of_all"]

_ACTS = """act IN ('received', 'held', 'released', 'cut', 'moved', 'counted', 'sent', 'taken in', 'called back', 'corrected',
            'discarded', 'undone', 'photographed', 'photograph taken away', 'looked at')"""

_INDEX = "CREATE INDEX entry_looked ON entry (job, number) WHERE act = 'looked at';\n"

LOOKS_OF_ENTRIES = f"""
DROP TRIGGER store_changed;
CREATE TABLE entry_with_looks (
    number INTEGER PRIMARY KEY,
    booking INTEGER NOT NULL CHECK (booking <= number),
    tag TEXT NOT NULL REFERENCES piece (tag),
    act TEXT NOT NULL CHECK (
        {_ACTS}),
    facts TEXT NOT NULL CHECK (json_valid(facts)),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    why TEXT NOT NULL,
    job TEXT NOT NULL,
    erased INTEGER NOT NULL DEFAULT 0 CHECK (erased IN (0, 1)),
    salts TEXT NOT NULL DEFAULT '{{}}' CHECK (json_valid(salts)),
    digest BLOB NOT NULL DEFAULT x'' CHECK (length(digest) IN (0, 32))
) STRICT;
INSERT INTO entry_with_looks (number, booking, tag, act, facts, who, at, why, job, erased, salts, digest)
SELECT number, booking, tag, act, facts, who, at, why, job, erased, salts, digest FROM entry ORDER BY number;
DROP TABLE entry;
ALTER TABLE entry_with_looks RENAME TO entry;
CREATE INDEX entry_by_tag ON entry (tag, number);
CREATE INDEX entry_by_booking ON entry (booking);
CREATE INDEX entry_received ON entry (tag, at) WHERE act = 'received';
CREATE INDEX entry_cut ON entry (tag, number, at) WHERE act = 'cut';
CREATE INDEX entry_undone ON entry (number) WHERE act = 'undone';
{_INDEX}CREATE TRIGGER entries_stay BEFORE DELETE ON entry BEGIN
    SELECT raise(ABORT, 'the ledger only grows');
END;
CREATE TRIGGER entries_stand BEFORE UPDATE ON entry
WHEN NOT (NEW.erased AND NEW.number = OLD.number AND NEW.booking = OLD.booking AND NEW.tag = OLD.tag
          AND NEW.act = OLD.act AND NEW.at = OLD.at AND NEW.who = OLD.who AND NEW.job = OLD.job
          AND NEW.digest = OLD.digest) BEGIN
    SELECT raise(ABORT, 'an entry is never changed, but for what is erased about a person');
END;
{STORE_CHANGED_BY}"""
"""An act more, so the table is made anew with all its rows, guards and digests; what reads it meanwhile rests. Never edited, as
any step."""

LOOKS_OF_ENTRIES_ON_SERVER = f"""
ALTER TABLE entry DROP CONSTRAINT entry_act_check;
ALTER TABLE entry ADD CONSTRAINT entry_act_check CHECK (
    {_ACTS});
{_INDEX}"""
"""The same on a server, where a rule of a table can be changed as it stands."""


_COUNTING = (
    "SELECT looked.* FROM {looked} JOIN job ON job.name = looked.job AND job.stage = 'cut'"
    " WHERE looked.act = 'looked at' AND looked.number > coalesce((SELECT max(cut.number) FROM entry AS cut"
    " WHERE cut.act = 'cut' AND cut.tag = looked.tag AND cut.job = looked.job), 0)"
)
"""Looks at what is cut now: one from before the cut was taken back and made anew told of another repair."""


def looks_of(catalogue: Catalogue, job: str) -> tuple[KeptLook, ...]:
    """The looks that count of the job that the ledger calls so, by the place of their sights: the newest of each by its way."""
    return _newest(_looks(catalogue, "AND looked.job = ?", [job]))


def looks_of_all(catalogue: Catalogue) -> tuple[KeptLook, ...]:
    """The same of every job that is cut."""
    return _newest(_looks(catalogue, "", []))


def count_cut_jobs(catalogue: Catalogue) -> int:
    """How many jobs are cut."""
    (count,) = catalogue.execute("SELECT count(*) FROM job WHERE stage = 'cut'").fetchone()
    return int(count)


def _looks(catalogue: Catalogue, of: str, values: list[str]) -> Iterator[KeptLook]:
    """The index is named: to have them in order SQLite would go through the whole ledger."""
    counting = _COUNTING.format(looked=catalogue.by_index("entry AS looked", "entry_looked"))
    sql = f"{counting} {of} ORDER BY looked.number"
    for entry in map(entry_in, catalogue.query(sql, values)):
        if isinstance(entry.change, LookedAt):
            yield KeptLook(entry.signed.job, entry.number, entry.change.look, entry.signed)


def _newest(looks: Iterator[KeptLook]) -> tuple[KeptLook, ...]:
    """A patch cut from several pieces has an entry with each; what was taken back counts no more."""
    found = {(each.job, each.look.sight, each.look.by): each for each in looks}
    return tuple(found[key] for key in sorted(found) if found[key].look.seen is not None)
