"""The shortest repeating round: the same moves at the same minute of every round.

For shops that prefer a rhythm to a list. A move is hands-on work that begins at the same moment of
every round; between two moves of one mold there is a soak (a cure) with a least and a greatest
length, which may run over the end of the round. People walk between moves; the walk depends on
where the last move ended and the next begins. All times are ints in one unit.

A move on the time axis, as in `network`::

    START ........ READY .............. END
      | set-up      | duration           |

The set-up is omitted when the move follows another of its family in one batch, at once but for
the walk between them, which counts for the span of the batch.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

from floorboard.planning.errors import NetworkError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.planning.network import Family


@dataclass(frozen=True, slots=True)
class Move:
    """Hands-on work done once in every round.

    Parameters
    ----------
    duration
        Of the work proper, >= 1.
    setup, dry_setup, family, weight
        As of a `network.Task`.
    """

    name: str
    duration: int
    setup: int = 0
    dry_setup: int = 0
    family: int | None = None
    weight: int = 0


@dataclass(frozen=True, slots=True)
class Soak:
    """The wait from the END of one move to READY of another.

    Parameters
    ----------
    least, greatest
        Its bounds; `greatest` None: only the round itself bounds it, for a place is emptied
        before it is filled again, so that every soak is shorter than a round.
    """

    before: int
    after: int
    least: int
    greatest: int | None = None


@dataclass(frozen=True, slots=True)
class RotationProblem:
    """What a round is made of.

    Parameters
    ----------
    walks
        `walks[i][j]`: from the end of move i to the start of move j, by the shortest way: none is
        longer than by way of another move, done on the way.
    circles
        Soaks (by index) that lead back to where they began, each with the number of rounds that
        lie between: a mold whose every move is in every round has one circle of one round.
    people
        Who share the moves, >= 1; each does the same moves in every round.

    Raises
    ------
    NetworkError
        When an index or a length is impossible.
    """

    moves: tuple[Move, ...]
    soaks: tuple[Soak, ...]
    walks: tuple[tuple[int, ...], ...]
    circles: tuple[tuple[tuple[int, ...], int], ...] = ()
    families: tuple[Family, ...] = ()
    people: int = 1

    def __post_init__(self) -> None:
        count = len(self.moves)
        findings = []
        if not count or self.people < 1:
            findings.append("A round needs a move and somebody to do it.")
        if len(self.walks) != count or any(len(row) != count for row in self.walks):
            findings.append(f"The walks must be a table of {count} rows and columns.")
        if any(walk < 0 for row in self.walks for walk in row):
            findings.append("A walk must be 0 or more.")
        for move in self.moves:
            if move.duration < 1 or not 0 <= move.dry_setup <= move.setup:
                findings.append(f"{move.name}: impossible lengths.")
            if move.family is not None and not 0 <= move.family < len(self.families):
                findings.append(f"{move.name}: the family {move.family} is not known.")
        for soak in self.soaks:
            inside = 0 <= soak.before < count and 0 <= soak.after < count
            if not inside or soak.least < 0:
                findings.append("A soak names a move that is not there, or is below 0.")
            elif soak.greatest is not None and soak.greatest < soak.least:
                findings.append(f"After {self.moves[soak.before].name} the least soak is longer.")
        if any(not 0 <= s < len(self.soaks) for soaks, _ in self.circles for s in soaks):
            findings.append("A circle names a soak that is not there.")
        if not findings:
            findings = list(self._roundabout())
        if findings:
            raise NetworkError(" ".join(findings))

    def _roundabout(self) -> Iterator[str]:
        """Yield the first walk that is longer than by way of another move."""
        moves, walks = range(len(self.moves)), self.walks
        for i, j, k in product(moves, moves, moves):
            over = walks[i][j] - walks[i][k] - self.moves[k].duration - walks[k][j]
            if k not in (i, j) and over > 0:
                yield (
                    f"The walk from {self.moves[i].name} to {self.moves[j].name} is {over} longer "
                    f"than by way of {self.moves[k].name}; give the shortest."
                )
                return


@dataclass(frozen=True, slots=True)
class Turn:
    """When a move is done in every round, by whom, and after which move of its batch.

    Parameters
    ----------
    start, ready, end
        In `[0, period)` for `ready`; `start` may be before the round begins and `end` after it
        ends, which is then the end of the round before or the begin of the round after.
    previous
        The move it follows in one batch, or None when it has its own set-up.
    """

    start: int
    ready: int
    end: int
    person: int
    previous: int | None = None


@dataclass(frozen=True, slots=True)
class Rotation:
    """A round.

    Parameters
    ----------
    period
        Its length; None when none was found.
    turns
        One per move.
    bound
        No round is shorter, proved.
    impossible
        It is proved that no round keeps all bounds, however long.
    """

    period: int | None
    turns: tuple[Turn, ...]
    bound: int
    runtime_seconds: float = 0.0
    impossible: bool = False

    @property
    def proved(self) -> bool:
        """Return whether this is the shortest round."""
        return self.period is not None and self.bound >= self.period


def shortest_round(
    problem: RotationProblem,
    seconds: float = 30.0,
    deterministic: float | None = None,
    seed: int = 1,
    workers: int = 1,
) -> Rotation:
    """Return the shortest round found within the limits, with its proven bound.

    Parameters
    ----------
    seconds, deterministic, seed, workers
        As in `solution.Limits`.
    """
    from floorboard.planning.cpsat.rotation_model import solve_rotation

    return solve_rotation(problem, seconds, deterministic, seed, workers)


def single_mold_round(
    moves: tuple[Move, ...], soaks: tuple[tuple[int, int | None], ...]
) -> tuple[tuple[Move, ...], tuple[Soak, ...], tuple[tuple[int, ...], int]]:
    """Return the moves, soaks and circle of one mold that goes round once in every round.

    Parameters
    ----------
    soaks
        `(least, greatest)` after each move, the last one before the first move comes again.
    """
    count = len(moves)
    waits = tuple(
        Soak(place, (place + 1) % count, least, greatest)
        for place, (least, greatest) in enumerate(soaks)
    )
    return moves, waits, (tuple(range(count)), 1)


def round_of_molds(
    molds: tuple[tuple[tuple[Move, ...], tuple[tuple[int, int | None], ...]], ...],
    walk: int = 0,
    families: tuple[Family, ...] = (),
    people: int = 1,
) -> RotationProblem:
    """Return the problem of some molds that each go round once in every round.

    Parameters
    ----------
    molds
        `(moves, soaks)` of each, as `single_mold_round` takes them.
    walk
        From any mold to any other; none from a mold to itself.
    """
    moves: list[Move] = []
    soaks: list[Soak] = []
    circles: list[tuple[tuple[int, ...], int]] = []
    owner: list[int] = []
    for mold, (own_moves, own_soaks) in enumerate(molds):
        made, waits, (circle, rounds) = single_mold_round(own_moves, own_soaks)
        first_move, first_soak = len(moves), len(soaks)
        moves += made
        owner += [mold] * len(made)
        soaks += [
            Soak(first_move + s.before, first_move + s.after, s.least, s.greatest) for s in waits
        ]
        circles.append((tuple(first_soak + soak for soak in circle), rounds))
    walks = tuple(tuple(0 if a == b else walk for b in owner) for a in owner)
    return RotationProblem(tuple(moves), tuple(soaks), walks, tuple(circles), families, people)
