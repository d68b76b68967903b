"""People's roles at branches on the manager's page: given, told and taken away there as by the command."""

import pytest

from remnants.actions import door_book, open_catalogue
from remnants.actions.branch_people import roles_at_branches
from remnants.actions.branches import put_branch
from remnants.model import Role
from tests.stock_values import SIGNED
from tests.web.conftest import House


@pytest.fixture
def branches(house: House) -> House:
    """A shop with two branches; all that is in stock lies at South."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        put_branch(catalogue, "South", new=True, signed=SIGNED)
        put_branch(catalogue, "North", new=True, signed=SIGNED)
    return house


def given(house: House) -> tuple[tuple[str, str, Role], ...]:
    """The roles at branches that the catalogue holds."""
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return roles_at_branches(catalogue)


def test_a_role_at_a_branch_is_given_told_and_taken_away(branches: House) -> None:
    maud, wim = branches.browser("Maud"), branches.browser("Wim")
    assert maud.get("/people").text.count("At every branch what the role says.") == 2
    assert maud.post("/people/Wim/branch", data={"branch": "north", "may": "work"}).status_code == 303
    assert given(branches) == (("North", "Wim", Role.WORK),)
    page = maud.get("/people").text
    assert "North: may work. Elsewhere: looks only." in page and "May work at every branch." in page
    refused = wim.post("/pieces/R-0001/move", data={"place": "Bay 9"})
    assert refused.status_code == 403 and "Wim may look at what lies at South, and not change it" in refused.text
    maud.post("/people/Wim/branch", data={"branch": "South", "may": "look"})
    assert "South: looks only. North: may work." in maud.get("/people").text
    for branch in ("North", "South"):
        maud.post("/people/Wim/branch", data={"branch": branch, "may": "nothing"})
    assert given(branches) == ()
    assert wim.post("/pieces/R-0001/move", data={"place": "Bay 9"}).status_code == 303


def test_the_door_book_tells_who_gave_it_and_no_name_that_was_typed(branches: House) -> None:
    maud = branches.browser("Maud")
    maud.post("/people/Wim/branch", data={"branch": "North", "may": "work"})
    maud.post("/people/Wim/branch", data={"branch": "North", "may": "nothing"})
    lines = door_book.page_of(branches.settings.catalogue, person="Wim").lines[:2]
    assert [(line.kind, line.who, line.whom, line.what) for line in reversed(lines)] == [
        ("role", "Maud", "Wim", "may work at branch 2"),
        ("role", "Maud", "Wim", "no role of their own at branch 2"),
    ]


@pytest.mark.parametrize(
    ("path", "form", "status"),
    [
        ("/people/Wim/branch", {"branch": "East", "may": "work"}, 404),
        ("/people/Bo/branch", {"branch": "North", "may": "work"}, 404),
        ("/people/Wim/branch", {"branch": "North", "may": "manage"}, 422),
        ("/people/Wim/branch", {"may": "work"}, 404),
        ("/people/Wim/branch", {"branch": "North"}, 422),
    ],
)
def test_what_is_wrong_changes_nothing(branches: House, path: str, form: dict[str, str], status: int) -> None:
    assert branches.browser("Maud").post(path, data=form).status_code == status
    assert given(branches) == ()


def test_only_managers_give_roles(branches: House) -> None:
    assert branches.browser("Wim").post("/people/Wim/branch", data={"branch": "North", "may": "work"}).status_code == 403
    assert given(branches) == ()


def test_a_shop_without_branches_sees_nothing_of_it(house: House) -> None:
    assert "branch" not in house.browser("Maud").get("/people").text.casefold()
