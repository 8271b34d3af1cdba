"""One task of a made-up day: who does it, what is logged of it and what comes next."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.mixing.amounts import layer_grams
from floorboard.mixing.proportions import proportions
from floorboard.usecases.shop_year_people import earliest_hand

if TYPE_CHECKING:
    from floorboard.shop.build import Build
    from floorboard.shop.mixes import Mix
    from floorboard.usecases.shop_year import ShopYear, UnderWay
    from floorboard.usecases.shop_year_people import Hand

_SECOND = dt.timedelta(seconds=1)


def least_seconds_in_mold(build: Build) -> float:
    """Return the least time from readying to the end of the last layer, and its full cure."""
    piece = build.piece
    layers = sum(
        build.mix_of_layer(i).making_seconds + layer.apply + layer.partial_cure
        for i, layer in enumerate(piece.layers)
    )
    return float(piece.ready + layers + piece.full_cure + piece.demold)


def do_next(year: ShopYear, casting: UnderWay) -> bool:
    """Do a casting's next task today, if anyone can; return whether it was done."""
    seconds = _planned_seconds(casting) * _varied(year, year.habits.duration_spread)
    ready = casting.opens
    making = 0.0
    if casting.stage == "layer":
        # The batch is made while the layer before still cures, so that it is poured on time.
        making = casting.build.mix_of_layer(casting.index).making_seconds
        ready -= dt.timedelta(seconds=making if casting.index else 0.0)
    found = earliest_hand(year.hands, ready, seconds)
    if found is None:
        return False
    start, hand = found
    if _window_lost(year, casting, start + making * _SECOND, hand):
        return True
    end = start + seconds * _SECOND
    match casting.stage:
        case "ready":
            _ready(year, casting, hand.name, start, end)
        case "layer":
            _layer(year, casting, hand.name, start, end, making)
        case "demold":
            _demold(year, casting, hand.name, start, end)
        case _:
            end = _steps(year, casting, hand, start, seconds)
    hand.free_at = end
    year.truth.tasks.append((end, hand.name, (end - start).total_seconds()))
    year.maybe_mistake(end, hand.name)
    return True


def _varied(year: ShopYear, spread: float) -> float:
    return max(0.6, year.rng.gauss(1, spread))


def _planned_seconds(casting: UnderWay) -> float:
    piece = casting.build.piece
    match casting.stage:
        case "ready":
            return float(piece.ready)
        case "layer":
            making = casting.build.mix_of_layer(casting.index).making_seconds
            return making + float(piece.layers[casting.index].apply)
        case "demold":
            return float(piece.demold)
        case _:
            return max(30.0, float(piece.route[casting.index].takes))


def _ready(
    year: ShopYear, casting: UnderWay, person: str, start: dt.datetime, end: dt.datetime
) -> None:
    truth = casting.truth
    truth.begun_by = person
    truth.stands.append((start, "in progress"))
    year.know(casting)
    digest = year.digests[truth.piece]
    casting.build = year.builds[truth.piece]
    year.log(
        start,
        person,
        e.CastingBegun(casting=truth.serial, mold=truth.mold, piece=truth.piece, build=digest),
    )
    year.log(end, person, e.MoldReadied(casting=truth.serial))
    year.wait(casting, "layer", 0, end)


def _window_lost(year: ShopYear, casting: UnderWay, pour: dt.datetime, hand: Hand) -> bool:
    """Reject a casting whose recoat window is over by the time of the pour, most times."""
    if casting.stage != "layer" or casting.index == 0:
        return False
    before = casting.build.piece.layers[casting.index - 1]
    if before.recoat_by is None:
        return False
    closes = casting.opens + (before.recoat_by - before.partial_cure) * _SECOND
    if pour <= closes or year.rng.random() >= year.habits.window_lost_rejected:
        return False
    _reject(year, casting, hand.name, closes + 60 * _SECOND, "window-lost", None)
    return True


def _reject(
    year: ShopYear,
    casting: UnderWay,
    person: str,
    at: dt.datetime,
    reason: str,
    layer: int | None,
) -> None:
    truth = casting.truth
    truth.reason = reason
    truth.stands.append((at, "scrapped"))
    event = e.CastingRejected(casting=truth.serial, reason=reason, layer=layer)
    year.log(at, person, event)
    year.close(casting, finished=False)
    if truth.demolded_at is None:
        year.leave_mold(casting, at)


def _batch(
    year: ShopYear, casting: UnderWay, person: str, at: dt.datetime, making: float
) -> tuple[str, float]:
    """Weigh and wet a batch for one layer; return it and the grams of the layer."""
    layer, mix = (
        casting.build.piece.layers[casting.index],
        casting.build.mix_of_layer(casting.index),
    )
    wanted = layer_grams(layer, mix)
    grams = wanted * casting.thinner * _varied(year, year.habits.layer_spread)
    serial = year.batch_serial()
    serving = e.Serving(casting=casting.truth.serial, layer=casting.index, grams=wanted)
    begun = e.BatchBegun(
        batch=serial, mix=layer.mix, servings=(serving,), grams=wanted * 1.05, working_seconds=900
    )
    year.log(at, person, begun)
    for material, share in _shares(casting.build, mix).items():
        target = wanted * 1.05 * share
        weighed = e.MaterialWeighed(
            batch=serial,
            material=material,
            target_grams=target,
            grams=target * _varied(year, 0.005),
            lot=f"{material}-{year.date:%y%m}",
        )
        year.log(at + making * 0.3 * _SECOND, person, weighed)
    if year.rng.random() < year.habits.batch_lost:
        # It set in the bucket; the next one is made within the same time.
        year.log(at + making * 0.4 * _SECOND, person, e.BatchLost(batch=serial))
        serial = year.batch_serial()
        again = begun.model_copy(update={"batch": serial})
        year.log(at + making * 0.4 * _SECOND, person, again)
    year.log(at + making * 0.6 * _SECOND, person, e.BatchWetted(batch=serial))
    return serial, grams


def _shares(build: Build, mix: Mix) -> dict[str, float]:
    parts = proportions(mix, build.materials)
    whole = sum(part.grams for part in parts)
    shares: dict[str, float] = {}
    for part in parts:
        shares[part.material] = shares.get(part.material, 0.0) + part.grams / whole
    return shares


def _layer(
    year: ShopYear,
    casting: UnderWay,
    person: str,
    start: dt.datetime,
    end: dt.datetime,
    making: float,
) -> None:
    piece, serial, index = casting.build.piece, casting.truth.serial, casting.index
    batch, grams = _batch(year, casting, person, start, making)
    casting.grams += grams
    pour = min(start + making * _SECOND, end)
    year.log(pour, person, e.LayerBegun(casting=serial, layer=index, batch=batch))
    year.log(end, person, e.LayerApplied(casting=serial, layer=index, batch=batch, grams=grams))
    if year.rng.random() < year.habits.rejected_at_layer:
        _reject(year, casting, person, end + _SECOND, "void", index)
    elif index + 1 < len(piece.layers):
        cure = piece.layers[index].partial_cure * _SECOND
        year.wait(casting, "layer", index + 1, end + cure)
    else:
        year.wait(casting, "demold", 0, end + piece.full_cure * _SECOND)


def _demold(
    year: ShopYear, casting: UnderWay, person: str, start: dt.datetime, end: dt.datetime
) -> None:
    truth, piece = casting.truth, casting.build.piece
    truth.demolded_at = end
    year.log(start, person, e.DemoldBegun(casting=truth.serial))
    year.log(end, person, e.Demolded(casting=truth.serial))
    if year.rng.random() < year.habits.logged_twice:
        year.log(end + 3 * _SECOND, person, e.Demolded(casting=truth.serial))
    if year.rng.random() < year.habits.impossible_weight:
        year.log(end + 4 * _SECOND, person, e.CastingWeighed(casting=truth.serial, grams=0))
    year.log(end + 5 * _SECOND, person, e.CastingWeighed(casting=truth.serial, grams=casting.grams))
    year.truth.weights.append((end + 5 * _SECOND, truth.serial, casting.grams))
    if piece.wall is not None:
        nominal = sum(
            layer_grams(layer, casting.build.mix_of_layer(i))
            for i, layer in enumerate(piece.layers)
        )
        wall = piece.wall * casting.grams / nominal * _varied(year, 0.02)
        event = e.WallRead(casting=truth.serial, point="rim", millimetres=wall)
        year.log(end + 6 * _SECOND, person, event)
    year.leave_mold(casting, end)
    if year.rng.random() < year.habits.rejected_at_demold:
        reason = year.rng.choice([key for key in year.shop.reasons if key != "window-lost"])
        layer = year.rng.randrange(len(piece.layers))
        defects = e.CastingInspected(
            casting=truth.serial, passed=False, defects=(reason,), layer=layer
        )
        year.log(end + 10 * _SECOND, person, defects)
        _reject(year, casting, person, end + 12 * _SECOND, reason, layer)
    else:
        year.log(end + 10 * _SECOND, person, e.CastingInspected(casting=truth.serial, passed=True))
        _wait_for_step(year, casting, 0, end)


def _wait_for_step(year: ShopYear, casting: UnderWay, index: int, since: dt.datetime) -> None:
    """Let a casting wait for its next hands-on step, or finish it."""
    route = casting.build.piece.route
    opens = since
    while index < len(route) and route[index].passive:
        opens += route[index].takes * _SECOND
        index += 1
    if index < len(route):
        year.wait(casting, "step", index, opens)
    else:
        # Passive time after the last hands-on step is no step anyone does.
        casting.truth.stands.append((since, "good"))
        year.close(casting, finished=True)


def _steps(
    year: ShopYear, casting: UnderWay, hand: Hand, start: dt.datetime, seconds: float
) -> dt.datetime:
    """Do a finishing step, together with castings that wait for the same one; return its end."""
    index, step = casting.index, casting.build.piece.route[casting.index]
    session = [casting, *_sharing(year, casting, start, step.together - 1)]
    seconds += (len(session) - 1) * float(step.each_more)
    end = start + seconds * _SECOND
    serials = tuple(one.truth.serial for one in session)
    year.log(start, hand.name, e.StepBegun(castings=serials, step=index))
    year.log(end, hand.name, e.StepDone(castings=serials, step=index))
    for place, one in enumerate(session):
        if step.kind in {"seal", "pack"} and _last_of_kind(one, index):
            (one.truth.sealed if step.kind == "seal" else one.truth.packed).append(end)
        if step.kind == "inspect" and not one.sent_back and _chance(year, year.habits.sent_back):
            _send_back(year, one, hand.name, end + (place + 1) * _SECOND)
        else:
            _wait_for_step(year, one, index + 1, end)
    return end


def _sharing(year: ShopYear, casting: UnderWay, start: dt.datetime, most: int) -> list[UnderWay]:
    if most < 1:
        return []
    same = [
        other
        for other in year.castings.values()
        if other is not casting
        and (other.stage, other.index) == ("step", casting.index)
        and other.build is casting.build
        and other.opens <= start
    ]
    return same[:most]


def _last_of_kind(casting: UnderWay, index: int) -> bool:
    route = casting.build.piece.route
    return all(step.kind != route[index].kind for step in route[index + 1 :])


def _chance(year: ShopYear, share: float) -> bool:
    return year.rng.random() < share


def _send_back(year: ShopYear, casting: UnderWay, person: str, at: dt.datetime) -> None:
    """Send a casting back to the first hands-on step of its route, once at most."""
    route = casting.build.piece.route
    first = next(place for place, step in enumerate(route) if not step.passive)
    reason = year.rng.choice([key for key in year.shop.reasons if key != "window-lost"])
    event = e.CastingSentBack(casting=casting.truth.serial, step=first, reason=reason)
    year.log(at, person, event)
    casting.truth.sent_back.append((at, reason))
    casting.sent_back = True
    # A last step makes it good for the moment between the two entries.
    if casting.index == _last_hands_on(casting):
        casting.truth.stands += [(at - _SECOND, "good"), (at, "in progress")]
    year.wait(casting, "step", first, at)


def _last_hands_on(casting: UnderWay) -> int:
    route = casting.build.piece.route
    return max(place for place, step in enumerate(route) if not step.passive)
