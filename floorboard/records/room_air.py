"""Which room temperatures can be: the others are slips of a key, or another unit."""

from __future__ import annotations

# People work in the room with wet mixes. The shop's own rule, no source.
COLDEST_ROOM_CELSIUS = -20.0
HOTTEST_ROOM_CELSIUS = 50.0


def can_be_a_room(celsius: float) -> bool:
    """Whether a room that castings are made in can have this temperature."""
    return COLDEST_ROOM_CELSIUS <= celsius <= HOTTEST_ROOM_CELSIUS
