"""How long a hold lasts at the least, by the waits of its cluster alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.network import Anchor, Moment

if TYPE_CHECKING:
    from floorboard.planning.clusters import Cluster
    from floorboard.planning.network import Hold, Problem, Task


def least_length(problem: Problem, cluster: Cluster, hold: Hold) -> int:
    """Return the least length of a hold between two tasks of a cluster, 0 when not known."""
    if not (isinstance(hold.start, Moment) and isinstance(hold.end, Moment)):
        return 0
    first, last = cluster.tasks.index(hold.start.task), cluster.tasks.index(hold.end.task)
    distance = {first: 0}
    for i, j, least, _ in cluster.arcs:
        if i in distance and least is not None:
            distance[j] = max(distance.get(j, least + distance[i]), least + distance[i])
    if last not in distance:
        return 0
    span = distance[last] + hold.end.offset - hold.start.offset
    if hold.end.anchor is Anchor.END:
        span += problem.tasks[hold.end.task].duration
    if hold.start.anchor is Anchor.END:
        span -= problem.tasks[hold.start.task].duration
    return span


def moment_offset(task: Task, moment: Moment) -> int | None:
    """Return the distance of a moment from READY of its task, None when it may vary."""
    if moment.anchor is Anchor.END:
        return moment.offset + task.duration
    if moment.anchor is Anchor.READY:
        return moment.offset
    return None if task.family is not None else moment.offset - task.setup
