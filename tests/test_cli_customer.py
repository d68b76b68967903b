"""`remnants customer`: who has carpet of ours, found years later by style and lot."""

from tests.commands import Remnants


def test_carpet_left_with_a_customer_is_found_with_who_has_it(remnants: Remnants) -> None:
    remnants.ok("customer", "F-2031", "--name", "M. Alder", "--phone", "555 0100", "--may-call")
    remnants.log("--tag", "K-1", "--kind", "kept", "--lot", "4471-B")
    remnants.ok("move", "K-1", "attic", "--customer", "F-2031")
    found = remnants.ok("find", "4471-B")
    assert "attic, with customer" in found
    assert "F-2031" in found
    shown = remnants.ok("show", "K-1")
    assert "M. Alder, 555 0100, may be called" in shown
    assert "seen" in shown
    told = remnants.ok("customer", "F-2031")
    assert "M. Alder" in told
    assert "K-1" in told
    assert remnants.ok("customer").startswith("F-2031: M. Alder")


def test_consent_is_not_assumed(remnants: Remnants) -> None:
    remnants.ok("customer", "F-1", "--name", "M. Alder")
    assert "has not agreed to be called" in remnants.ok("customer", "F-1")


def test_an_unknown_customer_is_told(remnants: Remnants) -> None:
    remnants.log()
    assert remnants.ok("customer") == "no customers\n"
    assert "no customer has the reference 'F-9'" in remnants.refused("customer", "F-9", code=1)


def test_of_very_many_pieces_that_they_have_the_first_are_listed(remnants: Remnants) -> None:
    remnants.ok("customer", "F-1", "--name", "M. Alder")
    for tag in ("K-1", "K-2", "K-3"):
        remnants.log("--tag", tag, "--kind", "kept")
        remnants.ok("move", tag, "attic", "--customer", "F-1")
    told = remnants.ok("customer", "F-1", "--most", "2")
    assert "K-1" in told and "K-2" in told and "K-3" not in told
    assert told.endswith("they have 3: the first 2 by tag are listed; --most 3 lists them all\n")
    assert "K-3" in remnants.ok("customer", "F-1", "--most", "3")
