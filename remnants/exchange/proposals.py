"""Proposed outlines as JSON, each with the answer to the job that it makes."""

from collections.abc import Sequence
from typing import Any

from remnants.exchange.answer import answer_json
from remnants.exchange.figures import corners
from remnants.exchange.job import job_json
from remnants.model import Outlined, Proposal
from remnants.units import Unit

__all__ = ["proposals_json"]


def proposals_json(proposals: Sequence[Proposal], *, ask: Sequence[str] = ()) -> dict[str, Any]:
    """The proposals, the recommended one first, in the unit of their job. `ask` is what would be good to know besides."""
    told: dict[str, Any] = {"proposals": [_proposal_json(proposal) for proposal in proposals]}
    return told | ({"ask": list(ask)} if ask else {})


def _proposal_json(proposal: Proposal) -> dict[str, Any]:
    unit = Unit(proposal.job.unit)
    first, *others = (_outlined_json(outlined, unit) for outlined in proposal.outlines)
    also = {"also": others} if others else {}
    return first | also | {"words": list(proposal.words), "job": job_json(proposal.job), "answer": answer_json(proposal.plan)}


def _outlined_json(outlined: Outlined, unit: Unit) -> dict[str, Any]:
    return {
        "patch": outlined.patch,
        "outline": corners(outlined.ring, unit),
        "edges": [finish.value for finish in outlined.edges],
        "stops": {stop.side: stop.kind.value for stop in outlined.stops},
    }
