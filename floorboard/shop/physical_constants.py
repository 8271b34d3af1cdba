"""Physical constants from the shared file that names their sources."""

import tomllib
from collections.abc import Mapping
from functools import lru_cache

from floorboard.shop.locations import shared_file


@lru_cache(maxsize=1)
def _tables() -> Mapping[str, Mapping[str, float]]:
    with shared_file("physical_constants.toml").open("rb") as file:
        return tomllib.load(file)


def physical_constants(table: str) -> Mapping[str, float]:
    """One table of constants by name, such as ``atomic_masses``; units are in its comments."""
    return _tables()[table]
