"""What each person should do next, with the ticket if it is a batch: text, without any drawing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from floorboard.floor.waits import next_wait
from floorboard.mixing.cautions import caution_sentences
from floorboard.screens.countdown import countdown
from floorboard.screens.floor_screen.next_panel import DRAWING_UP, NextPanel, TicketLine
from floorboard.shop.units import show_grams
from floorboard.usecases.other_work import other_work
from floorboard.usecases.press_words import key_words, press_words
from floorboard.usecases.presses import BEGINNINGS, press_planned

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor
    from floorboard.floor.waits import Wait
    from floorboard.mixing.ticket import Ticket
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop
    from floorboard.usecases.presses import Press


# What has not been reached by what a press would take up too early.
NOT_YET = {
    "begin layer": "partial cure is reached",
    "begin demold": "full cure is reached",
    "begin step": "waiting time is over",
}


def _wait_of(floor: Floor, press: Press) -> Wait | None:
    casting = floor.castings.get(press.castings[0]) if press.castings else None
    return next_wait(casting) if casting is not None else None


def too_early(floor: Floor, press: Press, now: dt.datetime) -> str:
    """Return what has not been reached yet, if a press were carried out now; empty if all has."""
    wait = _wait_of(floor, press)
    if wait is None or press.kind != f"begin {wait.kind}" or now >= wait.opens_at:
        return ""
    early = countdown((wait.opens_at - now).total_seconds())
    return f"Too early: its {NOT_YET[press.kind]} in {early}. The log marks it if you begin now."


def too_late(floor: Floor, press: Press, now: dt.datetime) -> str:
    """Return since when a layer's window has been closed, if a press goes on with that layer."""
    if press.kind not in {"begin batch", "wet batch", "begin layer"}:
        return ""
    wait = _wait_of(floor, press)
    if wait is None or wait.kind != "layer" or wait.closes_at is None or now <= wait.closes_at:
        return ""
    late = countdown((now - wait.closes_at).total_seconds())
    return f"Its window closed {late} ago: this layer may not bond. Reject it with r."


@dataclass(frozen=True, slots=True)
class PanelFacts:
    """What a panel shows as long as floor and plan stay as they are; only its counts go on."""

    panel: NextPanel
    floor: Floor
    starts_at: dt.datetime | None = None
    since: dt.datetime | None = None
    sets_at: dt.datetime | None = None
    chosen: bool = False

    def at(self, now: dt.datetime) -> NextPanel:
        """Return the panel as it shows at a moment."""
        press, odd = self.panel.press, ""
        if press is not None:
            odd = too_late(self.floor, press, now)
            # While the panel counts to it, that it is too early needs no words.
            counted = self.starts_at is not None and self.sets_at is None and not self.chosen
            if not odd and not counted:
                odd = too_early(self.floor, press, now)
        return replace(
            self.panel,
            remark=f"{odd} {self.panel.remark}".strip(),
            starts_in=_seconds(now, self.starts_at),
            since=None if self.since is None else (now - self.since).total_seconds(),
            runs_out_in=_seconds(now, self.sets_at),
        )


def _seconds(now: dt.datetime, moment: dt.datetime | None) -> float | None:
    return None if moment is None else (moment - now).total_seconds()


def panel_facts(
    shop: Shop, floor: Floor, plan: Plan, person: str, press: Press | None, *, chosen: bool = False
) -> PanelFacts:
    """Return what a person's panel shows; `chosen` if they chose the mold, and not the plan."""
    name = shop.people[person].name
    if press is None:
        away = person in floor.away
        # A session's plan knows of no entry until the first one is drawn up.
        title = "Away" if away else "Nothing to do now" if plan.seq else DRAWING_UP
        after = "" if away or plan.tasks else "Choose a mold by its number to begin something."
        return PanelFacts(NextPanel(person, name, title, "", None, after=after), floor)
    begins = press.kind in BEGINNINGS
    in_hand = None if begins else floor.in_hand(person)
    # A batch in hand goes on setting, whatever is begun besides: its count is the one that shows.
    batch = floor.batch_of(person) or floor.batches.get(press.batch or "")
    lines, cautions, remark = _ticket(shop, floor, press)
    besides = other_work(shop, floor, person) if begins else ""
    if batch is not None and batch.sets_at is not None and press.batch != batch.serial:
        besides = f"The count is batch {batch.serial}'s. {besides}".strip()
    panel = NextPanel(
        person=person,
        name=name,
        title=press_words(shop, floor, press),
        key=key_words(press),
        press=press,
        ticket=lines,
        cautions=cautions or _step_cautions(floor, press),
        remark=f"{besides} {remark}".strip(),
    )
    return PanelFacts(
        panel,
        floor,
        starts_at=_starts_at(floor, plan, press) if begins else None,
        since=in_hand.since if in_hand else None,
        sets_at=batch.sets_at if batch is not None else None,
        chosen=chosen,
    )


def _starts_at(floor: Floor, plan: Plan, press: Press) -> dt.datetime | None:
    """Return when the plan asks for a press, whoever it asks; None if it does not."""
    for task in plan.tasks:
        if not task.fixed and press_planned(floor, plan, task) == replace(
            press, person=task.person
        ):
            return task.start
    return None


def _ticket(
    shop: Shop, floor: Floor, press: Press
) -> tuple[tuple[TicketLine, ...], tuple[str, ...], str]:
    servings = press.servings
    if press.kind == "wet batch":
        batch = floor.batches[press.batch or ""]
        servings = tuple((s.casting, s.layer) for s in floor.still_served(batch))
    if press.kind not in {"begin batch", "wet batch"} or not servings:
        return (), (), ""
    # The floor is painted before what weighs and mixes is imported.
    from floorboard.mixing.refusal import MixingError
    from floorboard.usecases.batch_ticket import ticket_of

    try:
        ticket = ticket_of(shop, floor, servings)
    except MixingError as refused:
        return (), (), str(refused)
    return ticket_lines(shop, ticket), ticket.cautions, " ".join(ticket.remarks)


def ticket_lines(shop: Shop, ticket: Ticket) -> tuple[TicketLine, ...]:
    """Return a ticket's weighings as text, in the shop's units."""
    return tuple(
        TicketLine(
            str(addition.number),
            addition.name,
            show_grams(shop, addition.grams),
            show_grams(shop, addition.reading_grams),
            "sift" if addition.sift else addition.in_words,
        )
        for addition in ticket.additions
    )


def _step_cautions(floor: Floor, press: Press) -> tuple[str, ...]:
    if press.kind not in {"begin step", "begin demold", "begin layer"}:
        return ()
    casting = floor.castings.get(press.castings[0])
    if casting is None:
        return ()
    if press.kind == "begin step":
        return caution_sentences(casting.build.piece.route[press.index].cautions)
    return caution_sentences(casting.build.piece.cautions)
