"""Place one cluster of tasks into a timetable, with all its waits and holds, or not at all.

Every task has a set of READY moments at which it fits the timetable. Working backwards along the
waits, each set is met with the moments from which all later tasks can still be reached; for a
chain of tasks that makes the earliest moment left for the first task provably completable, and
the tasks are then placed forwards without going back. Clusters that are no chain, and holds that
turn out to be in the way, push a task later and start again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.insert_chain import insert_chain
from floorboard.planning.insert_network import insert_network
from floorboard.planning.ready_sets import ReadySets

if TYPE_CHECKING:
    from floorboard.planning.clusters import Cluster
    from floorboard.planning.taste import Taste
    from floorboard.planning.timetable import Timetable


def insert(table: Timetable, cluster: Cluster, taste: Taste) -> Timetable | None:
    """Return the timetable with the cluster in it, None when it was not possible.

    The timetable given is changed and returned, or left alone and replaced by a changed copy.
    """
    if cluster.simple:
        return insert_chain(table, cluster, taste)
    return insert_network(table, cluster, taste)


def closing(table: Timetable, cluster: Cluster) -> int:
    """Return the last moment at which the first free task of a cluster can still be ready."""
    sets = ReadySets(table, cluster)
    if not sets.possible or not sets.narrow():
        return 0
    for position, index in enumerate(cluster.tasks):
        if table.placed[index] is None:
            return sets.either[position].bit_length()
    return 0
