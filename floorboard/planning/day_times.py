"""The times of a mix as they stand today: at the temperature last read, with the shop's margin."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.mixing.amounts import layer_grams, usable_grams
from floorboard.mixing.working_time import working_time

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.shop.build import Build
    from floorboard.shop.mixes import Mix

# Weights go into a network in whole tenths of a gram.
_TENTHS = 10

# What a sum of decimal weights may be off by, in tenths of a gram.
_BLUR = 1e-6


@dataclass(frozen=True, slots=True)
class MixTimes:
    """Seconds of a new batch: to wetting, to ready, its working time; and the factor of its cures."""

    before_wet: float
    making: float
    working: float
    cure_factor: float


def celsius(floor: Floor) -> float | None:
    """Return the temperature the times of the mixes are read at: the room's, else the water's."""
    read = floor.conditions
    if read is None:
        return None
    return read.room_celsius if read.room_celsius is not None else read.water_celsius


class DayTimes:
    """The times of every mix at one temperature in C, each worked out once."""

    def __init__(self, at_celsius: float | None) -> None:
        self.celsius = at_celsius
        # The mix itself is kept, so that no other can come to have its identity.
        self._known: dict[int, tuple[Mix, MixTimes]] = {}

    def of(self, mix: Mix) -> MixTimes:
        """Return the times of a new batch of a mix."""
        found = self._known.get(id(mix))
        if found is None:
            found = self._known[id(mix)] = mix, mix_times(mix, self.celsius)
        return found[1]


def mix_times(mix: Mix, at_celsius: float | None) -> MixTimes:
    """Return the times of a new batch of a mix at a temperature in C."""
    working = working_time(mix, None, at_celsius)
    return MixTimes(mix.seconds_before_wet, mix.making_seconds, working.seconds, working.factor)


def grams_of_layer(build: Build, layer: int) -> float:
    """Return what a layer takes, in grams as applied; layers count from 0."""
    return layer_grams(build.piece.layers[layer], build.mix_of_layer(layer))


def tenths_of_layer(build: Build, layer: int) -> int:
    """Return what a layer takes in tenths of a gram, not less; layers count from 0."""
    return math.ceil(_TENTHS * grams_of_layer(build, layer) - _BLUR)


def tenths_of_bucket(mix: Mix) -> int:
    """Return what can be applied from the largest batch of a mix in tenths of a gram, not more."""
    return math.floor(_TENTHS * usable_grams(mix, float(mix.largest_batch)) + _BLUR)
