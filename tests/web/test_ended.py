"""What was ended stays ended: nothing from before a new passphrase, a shut-out or the end of everything opens anything."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import Catalogue, doors, open_catalogue, passphrases, people
from remnants.actions.bring_back import restore
from remnants.actions.keep_safe import back_up
from remnants.errors import BadInput, SignInRefused
from remnants.model import Person, Role, Scope, SessionKind
from tests.thorough import share
from tests.web.conftest import PASSPHRASE, House

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
NEW = "four tall copper herons"
NUMBERS = count(1)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalogue]:
    """A catalogue with a manager."""
    with open_catalogue(tmp_path_factory.mktemp("ended") / "stock.db", write=True) as catalogue:
        catalogue.execute("PRAGMA synchronous = OFF")
        first = people.first_manager_link(catalogue, now=NOW)
        assert first
        doors.set_passphrase_by_link(catalogue, first, PASSPHRASE, name="Maud", label="desk", now=NOW)
        yield catalogue


@contextmanager
def plain_passphrases() -> Iterator[None]:
    """Passphrases are kept as they are: no hash is asked about here."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(doors, "hashed", lambda passphrase: passphrase)
        patched.setattr(doors, "is_right", lambda stored, passphrase: stored == passphrase)
        patched.setattr(doors, "checked", lambda passphrase, *, name: passphrase)
        yield


class Somebody:
    """A person of the shop, every secret that was ever handed out for them, and those that must open nothing any more."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self.maud = people.everybody(catalogue)[0]
        self.given: list[str] = []
        self.dead: set[str] = set()
        self.passphrase, self.name = PASSPHRASE, f"Person {next(NUMBERS)}"
        link = people.invite(catalogue, self.name, Role.WORK, by=self.maud, now=NOW)
        self.given += [link, self._by_link(link)]

    @property
    def person(self) -> Person:
        return next(one for one in people.everybody(self.catalogue) if one.name == self.name)

    def _by_link(self, link: str) -> str:
        return doors.set_passphrase_by_link(self.catalogue, link, self.passphrase, name="", label="desk", now=NOW).secret

    def device(self) -> None:
        """A link for a device."""
        self.given.append(doors.device_link(self.catalogue, self.person, now=NOW))

    def use(self) -> None:
        """The newest secret, used as a device's link if it is one."""
        with suppress(SignInRefused):
            self.given.append(doors.link_device(self.catalogue, self.given[-1], label="phone", now=NOW))

    def key(self) -> None:
        """A program's key."""
        until = (NOW + timedelta(days=9)).date()
        self.given.append(doors.make_key(self.catalogue, self.person, label="x", scopes=[Scope.LOOK], until=until, now=NOW))

    def invite(self) -> None:
        """A new link by the manager."""
        self.given.append(people.invite_again(self.catalogue, self.name, by=self.maud, now=NOW))

    def sign_in(self) -> None:
        """Name and passphrase."""
        opened = doors.sign_in(self.catalogue, self.name, self.passphrase, address="10.0.0.7", label="desk", now=NOW)
        self.given.append(opened.secret)

    def change(self) -> None:
        """Another passphrase, typed at a session of their own."""
        here = doors.session_of(self.catalogue, self._signed_in(), kinds=frozenset({SessionKind.BROWSER}), now=NOW)
        assert here
        self.dead |= set(self.given)
        self.given.append(doors.change_passphrase(self.catalogue, here, self.passphrase, self.passphrase + "x", now=NOW))
        self.passphrase += "x"

    def by_link(self) -> None:
        """Another passphrase by a new link."""
        link = people.invite_again(self.catalogue, self.name, by=self.maud, now=NOW)
        self.dead |= {*self.given, link}
        self.given.append(self._by_link(link))

    def shut_out(self) -> None:
        """Shut out, and let back."""
        people.shut_out(self.catalogue, self.name, by=self.maud)
        self.dead |= set(self.given)
        assert not self.opening(self.given)
        people.let_back(self.catalogue, self.name, by=self.maud)

    def end_everything(self) -> None:
        """As when a phone was lost."""
        people.end_everything_of(self.catalogue, self.name, by=self.maud)
        self.dead |= set(self.given)

    def opening(self, secrets: "set[str] | list[str]") -> list[str]:
        """Those of the secrets that open something."""
        return [secret for secret in secrets if self._opens(secret)]

    def _opens(self, secret: str) -> bool:
        with suppress(SignInRefused):
            doors.link_of(self.catalogue, secret, now=NOW)
            return True
        return doors.session_of(self.catalogue, secret, kinds=frozenset(SessionKind), now=NOW) is not None

    def _signed_in(self) -> str:
        self.sign_in()
        return self.given[-1]


ACTS: tuple[Callable[[Somebody], None], ...] = (
    *(Somebody.device, Somebody.use, Somebody.key, Somebody.invite, Somebody.sign_in),
    *(Somebody.change, Somebody.by_link, Somebody.shut_out, Somebody.end_everything),
)


@settings(max_examples=share(60), deadline=None)
@given(acts=st.lists(st.sampled_from(ACTS), min_size=2, max_size=12))
def test_whatever_was_done_before_nothing_that_was_ended_opens(shop: Catalogue, acts: list[Callable[[Somebody], None]]) -> None:
    with plain_passphrases():
        somebody = Somebody(shop)
        for act in acts:
            act(somebody)
            assert not somebody.opening(somebody.dead), act.__doc__
        somebody.sign_in()
    assert somebody.opening(somebody.given[-1:]), "and they still come in"


def test_a_managers_link_from_before_a_new_passphrase_sets_no_other(house: House) -> None:
    """Found in a bin the day after, it would have let in whoever found it."""
    link = house.browser("Maud").post("/people/Maud/link").text.split("http://localhost")[1].split("<")[0]
    changed = house.browser("Maud").post("/me/passphrase", data={"old": PASSPHRASE, "passphrase": NEW})
    assert changed.status_code == 303
    assert house.browser().post(link, data={"passphrase": "seven dry marble kettles"}).status_code == 401


def test_a_copy_that_is_brought_back_brings_back_no_session_key_or_link_that_was_ended_since(
    house: House, tmp_path: Path
) -> None:
    """The phone was lost after the copy was made: what ended everything isn't undone by bringing the stock back."""
    phone, key = house.browser("Wim"), house.key_of("Wim")
    link = house.browser("Wim").post("/me/device").text.split("http://localhost")[1].split("<")[0]
    with open_catalogue(house.file, write=False) as catalogue:
        back_up(catalogue, tmp_path / "copy.db")
    house.browser("Maud").post("/people/Wim/end-everything")
    assert phone.get("/me").status_code == 303
    restore(tmp_path / "copy.db", house.file, now=house.settings.now())
    assert phone.get("/me").status_code == 303
    assert house.browser().post(link).status_code == 401
    bearer = {"Authorization": f"Bearer {key}"}
    assert house.browser().get("/api/pieces/R-0001", headers=bearer).status_code == 401
    assert house.browser().post("/sign-in", data={"name": "Maud", "passphrase": PASSPHRASE}).status_code == 303


@pytest.fixture
def meanwhile(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[[], object]], None]:
    """Has something happen while a passphrase is looked at, which takes its time."""

    def happens(what: Callable[[], object]) -> None:
        right = passphrases.is_right

        def slow(stored: str | None, passphrase: str) -> bool:
            monkeypatch.setattr(doors, "is_right", right)
            found = right(stored, passphrase)
            what()
            return found

        monkeypatch.setattr(doors, "is_right", slow)

    return happens


def test_an_old_passphrase_typed_in_the_moment_of_its_change_lets_nobody_in(
    house: House, meanwhile: Callable[[Callable[[], object]], None]
) -> None:
    maud, thief = house.browser("Maud"), house.browser()
    meanwhile(lambda: maud.post("/me/passphrase", data={"old": PASSPHRASE, "passphrase": NEW}))
    assert thief.post("/sign-in", data={"name": "Maud", "passphrase": PASSPHRASE}).status_code == 401
    assert thief.get("/me").status_code == 303


def test_of_two_changes_in_one_moment_the_later_one_is_refused(
    house: House, meanwhile: Callable[[Callable[[], object]], None]
) -> None:
    maud, thief = house.browser("Maud"), house.browser("Maud")
    meanwhile(lambda: maud.post("/me/passphrase", data={"old": PASSPHRASE, "passphrase": NEW}))
    late = thief.post("/me/passphrase", data={"old": PASSPHRASE, "passphrase": "seven dry marble kettles"})
    assert late.status_code == 422 and "not your passphrase now" in late.text
    assert house.browser().post("/sign-in", data={"name": "Maud", "passphrase": NEW}).status_code == 303


@pytest.mark.parametrize("what", ["link", "key"])
def test_a_link_or_key_asked_for_in_the_moment_of_being_shut_out_is_not_made(house: House, what: str) -> None:
    secret = house.secret_of("Wim")
    with open_catalogue(house.file, write=True) as catalogue:
        here = doors.session_of(catalogue, secret, kinds=frozenset({SessionKind.DEVICE}), now=house.settings.now())
        assert here
        wim, now = here.person, house.settings.now()
        people.shut_out(catalogue, "Wim", by=people.everybody(catalogue)[1])
        with pytest.raises(SignInRefused, match="signed out here meanwhile"):
            if what == "link":
                doors.device_link(catalogue, wim, now=now, session=here)
            else:
                doors.make_key(catalogue, wim, label="x", scopes=[Scope.LOOK], until=now.date(), now=now, session=here)


def test_a_passphrase_of_one_shut_out_while_it_was_looked_at_changes_nothing(
    house: House, meanwhile: Callable[[Callable[[], object]], None]
) -> None:
    secret = house.secret_of("Maud")
    with open_catalogue(house.file, write=True) as catalogue:
        here = doors.session_of(catalogue, secret, kinds=frozenset({SessionKind.DEVICE}), now=house.settings.now())
        assert here
        people.change_role(catalogue, "Wim", Role.MANAGE, by=here.person)
        invite = people.invite_again(catalogue, "Wim", by=here.person, now=house.settings.now())
        doors.set_passphrase_by_link(catalogue, invite, PASSPHRASE, name="", label="desk", now=house.settings.now())
        meanwhile(lambda: people.shut_out(catalogue, "Maud", by=here.person))
        with pytest.raises(BadInput, match="not your passphrase now"):
            doors.change_passphrase(catalogue, here, PASSPHRASE, NEW, now=house.settings.now())
