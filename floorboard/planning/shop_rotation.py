"""A shop's rotation: which mold at which minute of every round.

Each mold goes round once a round: turned round (demolded and readied at one go), its layers, the
full cure running over into the next round.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.errors import PlanningError
from floorboard.planning.rotation_draft import RotationDraft

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.planning.rotation_draft import ShopRound
    from floorboard.shop.shop import Shop

SECONDS = 20.0


def shop_round(
    shop: Shop,
    molds: Sequence[str],
    people: int = 1,
    *,
    share: bool = True,
    seconds: float = SECONDS,
) -> ShopRound:
    """Return the shortest round in which each of some molds is cast once.

    Parameters
    ----------
    molds
        Ids, each once.
    people
        Who share the work of the round, >= 1.
    share
        Whether layers of one mix may share a batch.
    seconds
        For how long the shortest is looked for at most.

    Raises
    ------
    PlanningError
        If there is no mold, or a layer outlasts its mix whatever is done.
    """
    if not molds:
        raise PlanningError("A round needs a mold; name the molds that go round.")
    draft = RotationDraft(shop, share)
    found = draft.solve(tuple(molds), people, seconds)
    return draft.read(tuple(molds), people, found)
