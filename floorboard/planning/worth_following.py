"""Whether a better schedule is worth leaving the one that people follow."""

from __future__ import annotations

LEAST_GAIN_SECONDS = 120


def worth_following(
    objective: tuple[int, ...], followed: tuple[int, ...], step_seconds: int
) -> bool:
    """Return whether a schedule is worth leaving the one people follow.

    Windows, dates and castings always are. Finishing earlier is worth it only where each task it
    moves within the next hour gains `LEAST_GAIN_SECONDS`, taken over all castings.
    """
    if objective[:3] != followed[:3] or len(objective) < 5:
        return objective < followed
    gained = (followed[3] - objective[3]) * step_seconds
    moved = objective[4] - followed[4]
    return gained > LEAST_GAIN_SECONDS * max(0, moved) and objective < followed
