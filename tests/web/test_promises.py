"""What the security table promises, tried: of passphrases, secrets, addresses, and of what the program never does."""

import re
import sqlite3
from contextlib import closing
from functools import cache
from pathlib import Path

import pytest

from remnants.actions.door_book import page_of
from tests.web.conftest import PASSPHRASE, Clock, House
from tests.web.crawl import crawl, read_page

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "web" / "remnants_web" / "static"
CORE, PAGES = ROOT / "remnants", ROOT / "web" / "remnants_web"
MAIL_AND_MESSAGES = ("smtplib", "imaplib", "poplib", "ftplib", "telnetlib", "xmlrpc")
ASKS_OTHERS = ("requests", "httpx", "aiohttp", "urllib.request", "http.client")
WEAK = re.compile(r"\b(md5|sha1|DES|RC4|Blowfish|ECB)\b")
IMPORTS = re.compile(r"^ *(?:from|import) ([\w.]+)", re.MULTILINE)


@cache
def sources(folder: Path) -> dict[str, str]:
    """The text of each module in a folder."""
    return {str(path.relative_to(folder)): path.read_text(encoding="utf-8") for path in folder.rglob("*.py")}


def importers(folder: Path, name: str) -> list[str]:
    """The modules in a folder that import one of that name, or something in it."""
    told = {path: IMPORTS.findall(text) for path, text in sources(folder).items()}
    return sorted(path for path, names in told.items() if any(f"{each}.".startswith(f"{name}.") for each in names))


def test_no_mail_message_or_question_leaves_the_program() -> None:
    """2.2.2, 2.5.1, 2.7.1, 5.2.6, 10.2.1, 12.6.1: nothing is sent to anybody, neither secrets nor how it is used."""
    for name in (*MAIL_AND_MESSAGES, *ASKS_OTHERS):
        assert importers(CORE, name) == importers(PAGES, name) == [], name


def test_what_must_not_be_guessed_never_comes_from_dice() -> None:
    """3.2.4, 6.3.1: `random` serves searches alone; the doors and the pages take secrets from the system."""
    assert not [path for path in importers(CORE, "random") if path.startswith(("actions/", "store/"))]
    assert importers(PAGES, "random") == [] and "actions/doors.py" in importers(CORE, "secrets")


def test_no_weak_cipher_or_digest_is_named_anywhere() -> None:
    """6.2.2, 6.2.5."""
    assert not [path for folder in (CORE, PAGES) for path, text in sources(folder).items() if WEAK.search(text)]


def test_a_passphrase_is_hashed_as_strongly_as_the_table_says_each_with_a_salt_of_its_own(full_work: None, house: House) -> None:
    """2.4.1, 2.4.2, 2.4.5: argon2id, 64 MiB, 3 rounds, 4 lanes, 16 bytes of salt."""
    for name in ("Wim", "Lou"):
        link = re.search(r"http://localhost(/link/[\w-]+)", house.browser("Maud").post(f"/people/{name}/link").text)
        assert link and house.browser().post(link[1], data={"passphrase": PASSPHRASE}).status_code == 303
    with closing(sqlite3.connect(house.file)) as opened:
        (column,) = [row[1] for row in opened.execute("pragma table_info(person)") if "pass" in row[1]]
        hashes = [row[0] for row in opened.execute(f"select {column} from person")]
        columns = {row[1] for table in ("person", "session") for row in opened.execute(f"pragma table_info({table})")}
    assert len(hashes) == 3 and all(text.startswith("$argon2id$v=19$m=65536,t=3,p=4$") for text in hashes)
    salts = {text.split("$")[4] for text in hashes}
    assert len(salts) == 3 and all(len(salt) >= 22 for salt in salts)
    assert not [name for name in columns if re.search("hint|question|answer|reminder", name)], "2.5.2"


def test_nobody_has_to_change_a_passphrase_and_one_of_before_may_be_taken_again(house: House, clock: Clock) -> None:
    """2.1.10."""
    maud = house.browser("Maud")
    for old, new in ((PASSPHRASE, "four tall copper herons"), ("four tall copper herons", PASSPHRASE)):
        assert maud.post("/me/passphrase", data={"old": old, "passphrase": new}).status_code == 303
    clock.wait(days=3650)
    signed_in = house.browser().post("/sign-in", data={"name": "Maud", "passphrase": PASSPHRASE})
    assert (signed_in.status_code, signed_in.headers["Location"]) == (303, "/")


def test_the_door_asks_for_name_and_passphrase_alone_in_fields_that_managers_know_and_one_may_paste_into(house: House) -> None:
    """2.1.11, 2.5.2."""
    page = house.browser().get("/sign-in").text
    (form,) = [each for each in read_page("/sign-in", page).forms if each.action == "/sign-in"]
    assert set(form.fields) == {"name", "passphrase", "next"}
    assert 'autocomplete="username"' in page and 'autocomplete="current-password"' in page
    assert not [path.name for path in STATIC.glob("*.js") if re.search("[\"']paste|onpaste", path.read_text(encoding="utf-8"))]
    assert "onpaste" not in page and 'autocomplete="off"' not in page


def test_no_page_and_no_address_holds_the_secret_of_a_session(house: House) -> None:
    """3.1.1."""
    maud, secret = house.browser(), house.secret_of("Maud")
    maud.set_cookie("remnants", secret)
    met = list(crawl(maud, "/"))
    assert len(met) > 15
    for path, answer in met:
        assert secret not in path and secret.encode() not in answer.data and secret not in str(answer.headers), path


def test_a_secret_in_an_address_opens_nothing(house: House) -> None:
    """3.1.1, 13.1.3."""
    for secret in (house.key_of("Maud"), house.secret_of("Maud")):
        for name in ("key", "token", "api_key", "access_token", "authorization", "session", "remnants"):
            asked = house.browser().get(f"/api/pieces?words=loop&{name}={secret}", headers={"Accept": "application/json"})
            assert asked.status_code == 401, name


HOSTILE = ("Ada\nMaud came in", "Ada\r\n2026-03-02 sign-in Maud", "Ada\x1b[2J\x1b[1;1H", "Ada\u2028Maud", 'Ada", "who": "Maud')


def test_nothing_that_is_sent_makes_a_line_of_its_own_in_the_door_book_or_the_log(
    house: House, caplog: pytest.LogCaptureFixture
) -> None:
    """7.3.1."""
    maud = house.browser("Maud")
    before = len(page_of(house.file).lines)
    for name in HOSTILE:
        house.browser().post("/sign-in", data={"name": name, "passphrase": "no"})
        maud.post("/people", data={"name": name, "role": "look"})
    lines = page_of(house.file).lines
    new = lines[: len(lines) - before]
    assert 0 < len(new) <= 2 * len(HOSTILE)
    assert not [line for line in new if line.what == "by passphrase"], "nobody came in"
    assert not [record for record in caplog.records if set("\n\r\x1b\u2028") & set(record.getMessage())]


def test_the_camera_is_for_this_shop_alone_and_nothing_else_of_the_device_is_asked_for(house: House) -> None:
    """10.2.2."""
    told = house.browser().get("/sign-in").headers["Permissions-Policy"]
    allowed = dict(each.strip().split("=") for each in told.split(","))
    assert allowed.pop("camera") == "(self)" and set(allowed.values()) == {"()"} and {"geolocation", "microphone"} <= set(allowed)
    asks = re.compile("geolocation|audio: ?true|Notification|contacts")
    assert not [path.name for path in STATIC.glob("*.js") if asks.search(path.read_text(encoding="utf-8"))]


def test_no_key_or_passphrase_is_written_into_the_program() -> None:
    """2.5.4, 2.10.4."""
    found = re.compile(r"(?i)(?:passphrase|secret|api_?key|token)\w*\s*=\s*[\"']([^\"'{}<>]{8,})[\"']")
    told = {text for folder in (CORE, PAGES) for source in sources(folder).values() for text in found.findall(source)}
    assert told <= {"passphrase"}, "the kind of a line in the door book"
