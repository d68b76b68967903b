"""A catalogue with something in every table that there is: stock in which much happened, people, branches, agreements, rules."""

import hashlib
from datetime import timedelta
from typing import Any

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.customers import put_customer
from remnants.actions.look_back import look_back
from remnants.model import Person, Role
from remnants.model.agreement import Agreement
from remnants.model.customer import Customer
from remnants.model.distance import Distance
from remnants.model.person import LinkUse, SessionKind
from remnants.store import (
    agreements,
    branches,
    field_paces,
    flat_photos,
    job_photos,
    people,
    phone_calibrations,
    photo_pages,
    requests,
    second_factors,
    shop_rules,
    unsent,
)
from tests.harmed import a_busy_catalogue
from tests.photo.phones import a_calibration
from tests.stock_values import SIGNED

__all__ = ["a_full_catalogue"]

NOW = SIGNED.at
LATER = NOW + timedelta(days=400)


def a_full_catalogue(at: Any) -> None:
    """Makes it where an empty one is."""
    a_busy_catalogue(at)
    with open_catalogue(at, write=True) as catalogue, catalogue.atomic():
        put_customer(catalogue, Customer("F-7", "Somebody else", "555-0142", "Fen Row 6"), signed=SIGNED, key="came in")
        _people(catalogue)
        _jobs(catalogue)
        branches.add_branch(catalogue, "North", SIGNED)
        branches.add_branch(catalogue, "South", SIGNED)
        branches.add_place(catalogue, "North", "Bay", SIGNED)
        branches.put_distance(catalogue, "North", "South", Distance(31.5, "31.5 km"), SIGNED)
        field_paces.add(catalogue, [field_paces.FieldPace("width", 3, 7, 12.25)])
        photo_pages.put(catalogue, 4, 99.75, SIGNED)
        phone_calibrations.put(catalogue, a_calibration(), SIGNED)
        shop_rules.put(catalogue, "hold_days", 9.0, SIGNED)
        shop_rules.put_of_style(catalogue, "Velder Loop", "keep_short", 1000.25, SIGNED)
        requests.add(catalogue, "asked twice", "digest", {"tags": ["R-1", "é"], "none": None}, SIGNED)


def _people(catalogue: Catalogue) -> None:
    for name, role in (("Maud", Role.MANAGE), ("Wim", Role.WORK), ("Óla", Role.LOOK)):
        people.add_person(catalogue, Person(name, role))
        people.set_passphrase(catalogue, name, f"$argon2id$ of {name}")
        people.add_session(catalogue, f"s {name}", name, kind=SessionKind.DEVICE, label="phone", now=NOW, ends=LATER)
    people.add_link(catalogue, "l 1", LinkUse.DEVICE, name="Wim", ends=LATER)
    people.add_failure(catalogue, "wim", now=NOW)
    second_factors.put_pending(catalogue, "Maud", "JBSWY3DPEHPK3PXP")
    second_factors.confirm_factor(catalogue, "Maud", now=NOW)
    second_factors.use_codes(catalogue, "Maud", ("one", "two"))
    second_factors.add_half(catalogue, "h 1", "Maud", label="desk", now=NOW, ends=LATER)
    flat_photos.add(catalogue, "Wim", flat_photos.FlatPhoto(b"\xff\xd8 as good as one", {"mm": 0.5}, LATER))
    form = unsent.Unsent("Wim", "/log", (("place", "Bay 4"),), files=False, ends_at=LATER)
    unsent.add(catalogue, "u 1", form, now=NOW)


def _jobs(catalogue: Catalogue) -> None:
    agreements.put_link(catalogue, agreements.CustomerLink(5, "c 1", "Maud", LATER))
    read = "Cut the 12 x 12 in patch from the end that lies in Bay 3 – 'as told'."
    digest = hashlib.sha256(read.encode()).hexdigest()
    agreed = Agreement(0, 5, "plan", "Somebody else", (((20, 30), (90, 75)),), read, digest, NOW)
    agreements.add_agreement(catalogue, agreed, link="c 0")
    job_photos.close_jobs(catalogue, [2], at=NOW)
    look_back(catalogue, "Alder Court 7", 1, "seen", signed=SIGNED)
