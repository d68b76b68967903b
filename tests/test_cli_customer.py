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
