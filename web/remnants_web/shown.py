"""Answers that a person was shown, kept for a while: booking one takes the very plan that they looked at."""

import hashlib
import json
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from flask import Flask, current_app

from remnants.actions.fit_job import Fitted
from remnants.exchange import job_json
from remnants.model import Job
from remnants_web.access import asking
from remnants_web.kept import Kept
from remnants_web.shop import settings

__all__ = ["KEPT", "KEPT_FOR", "keep_answers", "keep_shown", "shown_to_them"]

KEPT = 300
"""Answers kept for all people together; the oldest go first."""

KEPT_FOR = timedelta(hours=12)
"""A working day: an older answer is worked out anew."""


@dataclass(frozen=True)
class _Shown:
    """An answer, and when it was shown."""

    fitted: Fitted
    at: datetime


def keep_answers(app: Flask) -> None:
    """Makes room for the answers that are shown."""
    app.extensions["shown"] = Kept[_Shown](KEPT)


def keep_shown(fitted: Fitted, digest: str) -> None:
    """Keeps an answer for who asks, by what stands for its plan; of the stock only the donors."""
    donors = {tag: fitted.pieces[tag] for tag in fitted.versions}
    _kept().keep(_key(fitted.job, digest), _Shown(replace(fitted, pieces=donors, ways=()), settings().now()))


def shown_to_them(job: Job, digest: str) -> Fitted | None:
    """The answer to this job, by whatever name, that this process showed to who asks; None where it showed none lately."""
    shown = _kept().find(_key(job, digest))
    if shown is None or settings().now() - shown.at > KEPT_FOR:
        return None
    return replace(shown.fitted, job=job, plan=replace(shown.fitted.plan, job=job.name))


def _kept() -> Kept[_Shown]:
    kept: Kept[_Shown] = current_app.extensions["shown"]
    return kept


def _key(job: Job, digest: str) -> tuple[str, str, str]:
    """A person's own, and this question's alone: two jobs may be cut alike."""
    asked = json.dumps(job_json(replace(job, name="-")), sort_keys=True)
    return asking().name, digest, hashlib.sha256(asked.encode()).hexdigest()
