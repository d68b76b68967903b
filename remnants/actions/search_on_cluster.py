"""Searches of a server worked out on a Dask cluster; the package for it is loaded only where one is named.

Whoever asks reads the catalogue, and sends the job with the pieces offered for it: the cluster needs no catalogue.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from remnants.actions.cluster_extra import cluster_extra
from remnants.desk import parcel_of, value_of
from remnants.late import Late
from remnants.limits import WORK_MEMORY, WORK_SECONDS
from remnants.question import Question, Stop

if TYPE_CHECKING:
    from remnants.actions import cluster_desk
else:
    cluster_desk = Late("remnants.actions.cluster_desk")

__all__ = ["ClusterLookedAt", "search_on_cluster"]

SECONDS = WORK_SECONDS - 10.0
"""After so many the search there is asked for what it has: it is back before whoever waits here gives up."""


@dataclass(frozen=True)
class ClusterLookedAt:
    """Whether the cluster whose scheduler is at `address` can be used, and by how many at once; for a process of its own."""

    address: str

    def answer(self, _stop: Stop) -> int:
        """How many questions it works on at once.

        Raises BadInput where the package for it is missing, no scheduler or worker is there, or they have another version of
        this program.
        """
        with cluster_extra():
            places = cluster_desk.places
        return places(self.address)


def search_on_cluster(search: Question, stop: Stop, *, address: str) -> Any:
    """What the search finds, within the seconds and memory that a server gives each question. Raises what the search raises.

    Raises GaveUp when the cluster can't be reached or its workers keep ending, and when `stop` says so: the work ends there too.
    """
    outcome = cluster_desk.outcome(parcel_of(search), stop, address=address, seconds=SECONDS, memory=WORK_MEMORY)
    return value_of(outcome)
