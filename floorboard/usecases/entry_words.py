"""What an entry says, in one sentence, for the log pane and the log command."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.usecases.press_words import step_name

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.floor.casting import Casting
    from floorboard.shop.shop import Shop


def entry_words(entry: e.Entry, shop: Shop, castings: Mapping[str, Casting] | None = None) -> str:
    """Return an entry as a sentence, with molds by number, people by name, and what is odd of it."""
    # Not `castings or {}`: where the floor holds no casting these are empty, yet know closed ones.
    known: Mapping[str, Casting] = {} if castings is None else castings
    words = event_words(entry.event, shop, known)
    marks = marks_of(entry, known)
    return f"{words} (! {' '.join(marks)})" if marks else words


def marks_of(entry: e.Entry, castings: Mapping[str, Casting]) -> list[str]:
    """Return what is odd of an entry, as the flags of its castings have it, a sentence each."""
    found = [castings.get(serial) for serial in entry.event.touched_castings()]
    flags = [flag for casting in found if casting is not None for flag in casting.flags]
    return list(dict.fromkeys(flag.message for flag in flags if flag.seq == entry.seq))


def event_words(event: e.AnyEvent, shop: Shop, castings: Mapping[str, Casting]) -> str:
    """Return an event as a sentence."""
    where = _where(event, shop, castings)
    match event:
        case e.CastingBegun():
            piece = shop.pieces[event.piece].name if event.piece in shop.pieces else event.piece
            return f"{where}: {event.casting} begun, {piece}"
        case e.MoldReadied():
            return f"{where}: ready for {event.casting}"
        case e.BatchBegun():
            count = len(event.servings)
            layers = "layer" if count == 1 else "layers"
            return f"Batch {event.batch} of {event.mix}: {event.grams:.0f} g for {count} {layers}"
        case e.MaterialWeighed():
            return (
                f"Batch {event.batch}: {event.grams:g} g {event.material} "
                f"(wanted {event.target_grams:g} g)"
            )
        case e.BatchCorrected():
            return f"Batch {event.batch} put right: it comes to {event.grams:g} g"
        case e.BatchWetted():
            return f"Batch {event.batch} wetted: working time runs"
        case e.BatchStaged():
            return f"Batch {event.batch}: stage {event.stage + 1} done"
        case e.BatchLost():
            return f"Batch {event.batch} lost {event.reason}".rstrip()
        case e.LayerBegun():
            return f"{where}: pouring layer {event.layer + 1}"
        case e.LayerApplied():
            return f"{where}: layer {event.layer + 1} in"
        case e.DemoldBegun():
            return f"{where}: demolding {event.casting}"
        case e.Demolded():
            return f"{where}: {event.casting} demolded"
        case _:
            return _after_mold(event, shop, where, castings)


def _after_mold(event: e.AnyEvent, shop: Shop, where: str, castings: Mapping[str, Casting]) -> str:
    match event:
        case e.StepBegun() | e.StepDone():
            word = "begun" if isinstance(event, e.StepBegun) else "done"
            what = _step_name(event.castings[0], event.step, castings)
            return f"{', '.join(event.castings)}: {what} {word}"
        case e.CastingRejected():
            return f"{where}: {event.casting} rejected, {_reason(shop, event.reason)}"
        case e.CastingSentBack():
            step = _step_name(event.casting, event.step, castings)
            return f"{event.casting} sent back to {step}, {_reason(shop, event.reason)}"
        case e.CastingSetAside():
            return f"{where}: {event.casting} set aside"
        case e.CastingTakenUp():
            return f"{where}: {event.casting} taken up again"
        case e.CastingInspected():
            defects = ", ".join(_reason(shop, defect) for defect in event.defects)
            verdict = "passed" if event.passed else "not passed"
            return f"{event.casting} inspected, {verdict}" + (f": {defects}" if defects else "")
        case e.CastingWeighed():
            return f"{event.casting} weighs {event.grams:g} g"
        case e.WallRead():
            return f"{event.casting}: wall {event.millimetres:g} mm {event.point}".rstrip()
        case e.Noted():
            return f"{where}: note: {event.note}" if where else f"Note: {event.note}"
        case _:
            return _shop_wide(event, shop, where)


def _shop_wide(event: e.AnyEvent, shop: Shop, where: str) -> str:
    match event:
        case e.MoldTakenOut():
            worn = ", worn out" if event.cause == "worn out" else ""
            return f"{where} taken out of service{worn} {event.note}".rstrip()
        case e.MoldPutBack():
            return f"{where} back in service"
        case e.MoldCaredFor():
            return f"{where} cared for {event.note}".rstrip()
        case e.MoldRested():
            return f"{where} skipped for now"
        case e.PersonLeft():
            return f"{_person(shop, event.who)} is away"
        case e.PersonBack():
            return f"{_person(shop, event.who)} is back"
        case e.ConditionsRead():
            return f"Conditions read: {_conditions(event)}"
        case e.LotReceived():
            return f"Lot {event.lot} of {event.material} received, {event.grams:g} g"
        case e.LotOpened():
            return f"Lot {event.lot} of {event.material} opened"
        case e.StockWasted():
            return f"{event.grams:g} g {event.material} wasted {event.note}".rstrip()
        case e.StockCounted():
            return f"Lot {event.lot} of {event.material} counted: {event.grams:g} g"
        case e.SolutionMade():
            made_of = ", ".join(f"{one.grams:g} g {one.material}" for one in event.takings)
            return f"Lot {event.lot} of {event.material} made up, {event.grams:g} g of {made_of}"
        case e.TimesDecided():
            whose = "the time learned" if event.use == "learned" else "the shop's own time"
            return f"Plan {event.task} with {whose}"
        case e.ShopLoaded():
            return f"Shop definitions loaded {('from ' + event.source) if event.source else ''}".rstrip()
        case e.EntryStruck():
            return f"Entry {event.struck} struck {event.reason}".rstrip()
        case _:
            return str(event.kind)


def _where(event: e.AnyEvent, shop: Shop, castings: Mapping[str, Casting]) -> str:
    mold = event.touched_mold()
    if mold is None:
        serial = next(iter(event.touched_castings()), None)
        casting = castings.get(serial) if serial else None
        if casting is None:
            return serial or ""
        mold = casting.mold
    return f"Mold {shop.molds[mold].number}" if mold in shop.molds else f"Mold {mold}"


def _step_name(casting: str, index: int, castings: Mapping[str, Casting]) -> str:
    """A step by its name: its place counts passive steps, which no one sees as steps."""
    found = castings.get(casting)
    if found is None or index >= len(found.build.piece.route):
        return f"step {index + 1} of its route"
    step = found.build.piece.route[index]
    return step_name(step)


def _reason(shop: Shop, reason: str) -> str:
    found = shop.reasons.get(reason)
    return (found.name if found is not None else reason).lower()


def _person(shop: Shop, person: str) -> str:
    found = shop.people.get(person)
    return found.name if found is not None else person


def _conditions(event: e.ConditionsRead) -> str:
    parts = []
    if event.room_celsius is not None:
        parts.append(f"room {event.room_celsius:g} C")
    if event.water_celsius is not None:
        parts.append(f"water {event.water_celsius:g} C")
    if event.surface_celsius is not None:
        parts.append(f"surface {event.surface_celsius:g} C")
    if event.humidity_percent is not None:
        parts.append(f"humidity {event.humidity_percent:g} %")
    return ", ".join(parts) or "nothing"
