"""What is known of phones' lenses, each from photographs of the marker page that somebody took with it once."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from remnants.ledger import Signed
from remnants.model.phone_lens import PhoneCalibration, PhoneLens
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = ["COLUMNS", "PHONE_CALIBRATIONS", "CalibrationKept", "drop", "every_calibration", "kept_in", "put"]

PHONE_CALIBRATIONS = """
CREATE TABLE phone_calibration (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    make TEXT NOT NULL,
    model TEXT NOT NULL,
    focal_mm REAL NOT NULL CHECK (focal_mm >= 0),
    focal_35 REAL NOT NULL CHECK (focal_35 >= 0),
    across INTEGER NOT NULL CHECK (across >= down),
    down INTEGER NOT NULL CHECK (down > 0),
    figures TEXT NOT NULL CHECK (json_valid(figures)),
    covariance TEXT NOT NULL CHECK (json_valid(covariance)),
    photos INTEGER NOT NULL CHECK (photos > 0),
    bar_before_mm REAL NOT NULL,
    bar_mm REAL NOT NULL CHECK (bar_mm > 0 AND bar_mm < bar_before_mm),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL
) STRICT;
CREATE UNIQUE INDEX phone_calibration_of ON phone_calibration (make, model, focal_mm, focal_35, across, down);
"""
"""The step of the migrations that makes the table. Never edited, as any step."""

COLUMNS = "make, model, focal_mm, focal_35, across, down, figures, covariance, photos, bar_before_mm, bar_mm, who, at"
_KEY = "make = ? AND model = ? AND focal_mm = ? AND focal_35 = ? AND across = ? AND down = ?"


@dataclass(frozen=True, slots=True)
class CalibrationKept:
    """A calibration by its number in this catalogue, who made it and when."""

    number: int
    found: PhoneCalibration
    who: str
    at: datetime


def every_calibration(catalogue: Catalogue) -> tuple[CalibrationKept, ...]:
    """All that are kept, by number."""
    return tuple(map(kept_in, catalogue.query(f"SELECT number, {COLUMNS} FROM phone_calibration ORDER BY number")))


def put(catalogue: Catalogue, found: PhoneCalibration, signed: Signed) -> int:
    """Keeps a calibration in place of what was kept of this lens, and gives its number. The caller holds the transaction."""
    lens = found.lens
    key = [lens.make, lens.model, lens.focal_mm, lens.focal_35, lens.across, lens.down]
    catalogue.execute(f"DELETE FROM phone_calibration WHERE {_KEY}", key)
    (number,) = catalogue.execute("SELECT coalesce(max(number), 0) + 1 FROM phone_calibration").fetchone()
    told = [json.dumps(found.figures), json.dumps(found.covariance), found.photos, found.bar_before_mm, found.bar_mm]
    marks = ", ".join("?" * (1 + len(COLUMNS.split(","))))
    sql = f"INSERT INTO phone_calibration (number, {COLUMNS}) VALUES ({marks})"
    catalogue.execute(sql, [number, *key, *told, signed.who, time_text(signed.at)])
    return int(number)


def drop(catalogue: Catalogue, number: int) -> bool:
    """Takes a calibration away; whether it was there. The caller holds the transaction."""
    there = any(catalogue.query("SELECT number FROM phone_calibration WHERE number = ?", [number]))
    catalogue.execute("DELETE FROM phone_calibration WHERE number = ?", [number])
    return there


def kept_in(row: Mapping[str, Any]) -> CalibrationKept:
    """What a row tells. Raises BadInput for figures of no lens, ValueError and its like for what can't be read at all."""
    lens = PhoneLens(row["make"], row["model"], row["focal_mm"], row["focal_35"], row["across"], row["down"])
    figures = tuple(float(each) for each in json.loads(row["figures"]))
    covariance = tuple(tuple(float(each) for each in line) for line in json.loads(row["covariance"]))
    found = PhoneCalibration(lens, figures, covariance, row["photos"], row["bar_before_mm"], row["bar_mm"])
    return CalibrationKept(row["number"], found, row["who"], time_of(row["at"]))
