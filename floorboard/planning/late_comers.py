"""Take out of a shared session the castings that open only after it has begun.

The network places each casting of a session after the one before it, so one may join that opens
while the session runs. A session is begun with all its castings: who comes too late is left for
the gaps, with every later step of theirs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.planning.plan_sheet import Sheet, SheetTask
    from floorboard.planning.shop_problem import ShopProblem


def part_late_comers(source: ShopProblem, sheet: Sheet) -> None:
    """Take late comers out of the sessions of a sheet; each session is the shorter for it."""
    sessions = [
        t for t in sheet.tasks if t.kind == "step" and len(t.castings) > 1 and not t.begun_at
    ]
    for session in sorted(sessions, key=lambda task: task.start):
        for casting in list(session.castings):
            if _opens(source, sheet, session, casting) > session.start:
                _leave(source, sheet, session, casting)


def _opens(source: ShopProblem, sheet: Sheet, session: SheetTask, casting: str) -> int:
    """Return the step of the grid from which a casting can take a session's step."""
    entry = sheet.castings[casting]
    route, before, passive = entry.build.piece.route, session.index - 1, 0.0
    while before >= 0 and route[before].passive:
        passive += float(route[before].takes)
        before -= 1
    ends = [
        task.end
        for task in sheet.tasks
        if casting in task.castings
        and (task.kind, task.index) == (("step", before) if before >= 0 else ("demold", 0))
    ]
    if ends:
        return max(ends) + source.grid.up(passive)
    opening = source.carried.openings.get(casting)
    return opening.opens if opening is not None and opening.kind == "step" else session.start


def _leave(source: ShopProblem, sheet: Sheet, session: SheetTask, casting: str) -> None:
    for task in [t for t in sheet.tasks if t.kind == "step" and casting in t.castings]:
        if task.index < session.index or task.begun_at is not None:
            continue
        task.castings.remove(casting)
        if not task.castings:
            sheet.tasks.remove(task)
        else:
            each = sheet.castings[casting].build.piece.route[task.index].each_more
            task.end -= source.grid.hands_on(float(each))
