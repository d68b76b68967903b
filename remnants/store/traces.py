"""Where words may still stand that were somebody's: in reasons, names of jobs, places."""

import json
import re
from collections.abc import Iterator, Sequence

from remnants.store.catalogue import Catalogue

__all__ = ["drop_unsent_telling", "jobs_of", "jobs_telling", "orders_telling", "reasons_telling", "tags_telling"]


def tags_telling(catalogue: Catalogue, words: Sequence[str]) -> tuple[str, ...]:
    """The tags of pieces in whose entries one of the words stands, whatever its letter case, in their order."""
    found = _telling(catalogue, "SELECT tag AS named, why || ' ' || job || ' ' || facts AS told FROM entry", words)
    return tuple(sorted(found))


def jobs_telling(catalogue: Catalogue, words: Sequence[str]) -> tuple[str, ...]:
    """The names of jobs that have one of the words in their name, file or plan, in their order."""
    return _telling(catalogue, "SELECT name AS named, name || ' ' || file || ' ' || plan AS told FROM job ORDER BY name", words)


def orders_telling(catalogue: Catalogue, words: Sequence[str]) -> tuple[str, ...]:
    """The numbers of saved orders that have one of the words in what is kept, their file or a reason, in their order."""
    sql = "SELECT number AS named, kept || ' ' || asked || ' ' || why AS told FROM kept_order ORDER BY number, revision"
    return tuple(map(str, _telling(catalogue, sql, words)))


def reasons_telling(catalogue: Catalogue, words: Sequence[str]) -> tuple[tuple[int, str], ...]:
    """The number and the tag of each entry in whose reason one of the words stands as it is written, in order."""
    found = re.compile(rf"(?<![\w-])(?:{'|'.join(re.escape(word.strip()) for word in words if word.strip())})(?![\w-])")
    rows = catalogue.each("SELECT number, tag, why FROM entry WHERE why <> '' ORDER BY number")
    return tuple((row["number"], row["tag"]) for row in rows if found.search(row["why"]))


def drop_unsent_telling(catalogue: Catalogue, words: Sequence[str]) -> None:
    """Forms that were sent late and have one of the words in a field are kept no longer. The caller holds the transaction."""
    for number in _telling(catalogue, "SELECT number AS named, fields AS told FROM unsent", words):
        catalogue.execute("DELETE FROM unsent WHERE number = ?", [number])


def jobs_of(catalogue: Catalogue, words: Sequence[str]) -> frozenset[int]:
    """The numbers of the jobs that are somebody's, by words that are theirs.

    Whatever the letter case in a job's house, its customer, and the name that was signed; as it is written in the job's name,
    where `hall` is a room and `Hall` a person.
    """
    wanted = [re.escape(" ".join(word.split())) for word in words if word.strip()]
    if not wanted:
        return frozenset()
    found = rf"(?<![\w-])(?:{'|'.join(wanted)})(?![\w-])"
    return frozenset(number for number, text, case in _whose(catalogue) if re.search(found, " ".join(text.split()), case))


def _whose(catalogue: Catalogue) -> Iterator[tuple[int, str, re.RegexFlag]]:
    """The number of each job with each text that tells whose it is, and whether its letter case counts."""
    for row in catalogue.query("SELECT job, name FROM agreement WHERE erased = 0"):
        yield row["job"], row["name"], re.IGNORECASE
    for row in catalogue.query("SELECT job, house, customer FROM job_photo WHERE gone_at IS NULL"):
        yield from ((row["job"], row[column], re.IGNORECASE) for column in ("house", "customer"))
    for row in catalogue.query("SELECT number, name, called, file FROM job"):
        file = json.loads(row["file"])
        yield from ((row["number"], row[column], re.NOFLAG) for column in ("name", "called"))
        yield from ((row["number"], str(file.get(key, "")), re.IGNORECASE) for key in ("house", "customer"))


def _telling(catalogue: Catalogue, sql: str, words: Sequence[str]) -> tuple[str, ...]:
    """Texts in JSON have their letters beyond ASCII written as `\\u00e9`, so each word is looked for both ways.

    A text of ASCII in which what is ASCII of no word stands is passed over: of a million entries that takes a tenth of the time.
    """
    forms = {form for word in words if word.strip() for form in (word.strip(), json.dumps(word.strip())[1:-1])}
    if not forms:
        return ()
    wanted = re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, sorted(forms)))})(?![\w-])", re.IGNORECASE)
    runs = {max(re.findall(r"[\x00-\x7f]*", form), key=len).lower() for form in forms}

    def tells(text: str) -> bool:
        if text.isascii():
            lowered = text.lower()
            if not any(run in lowered for run in runs):
                return False
        return wanted.search(text) is not None

    return tuple(dict.fromkeys(row["named"] for row in catalogue.each(sql) if tells(row["told"])))
