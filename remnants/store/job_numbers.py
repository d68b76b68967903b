"""The step of the migrations that gives jobs their numbers. Never edited, as any step."""

__all__ = ["JOB_NUMBERS"]

JOB_NUMBERS = """
CREATE TABLE job_with_number (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    name TEXT NOT NULL UNIQUE CHECK (trim(name) <> ''),
    called TEXT NOT NULL CHECK (trim(called) <> ''),
    stage TEXT NOT NULL CHECK (stage IN ('held', 'cut', 'released')),
    file TEXT NOT NULL CHECK (json_valid(file)),
    plan TEXT NOT NULL CHECK (json_valid(plan)),
    donors TEXT NOT NULL CHECK (json_valid(donors)),
    hold_until TEXT,
    who TEXT NOT NULL,
    at TEXT NOT NULL
) STRICT;
INSERT INTO job_with_number (number, name, called, stage, file, plan, donors, hold_until, who, at)
SELECT row_number() OVER (ORDER BY at, name), name, name, stage, file, plan, donors, hold_until, who, at FROM job;
DROP TABLE job;
ALTER TABLE job_with_number RENAME TO job;
CREATE INDEX job_by_called ON job (called);
"""
"""`name` is what the ledger calls the job, and no other; `called` is what its file calls it, as other jobs may be called too."""
