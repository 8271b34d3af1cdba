"""Signed-in browsers: random passes that expire, kept as digests only."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass, replace

MOST_PASSES = 500


@dataclass(frozen=True, slots=True)
class Pass:
    """One signed-in browser.

    Attributes
    ----------
    pass_id
        SHA-256 of the secret in the browser's cookie, in hex: of no use to who reads it here.
    station
        The name of its station, or None until it is chosen.
    expires_at
        Seconds since 1970, UTC.
    """

    pass_id: str
    station: str | None
    expires_at: float


class Passes:
    """The passes given out. ``now`` is seconds since 1970, UTC."""

    def __init__(self, lasting_seconds: float) -> None:
        self._lasting_seconds = lasting_seconds
        self._passes: dict[str, Pass] = {}

    def issue(self, now: float, station: str | None = None) -> tuple[str, Pass]:
        """Give out a new pass; return the secret for the cookie and the pass."""
        secret = secrets.token_urlsafe(32)
        issued = Pass(_digest(secret), station, now + self._lasting_seconds)
        self._drop_expired(now)
        while len(self._passes) >= MOST_PASSES:
            del self._passes[next(iter(self._passes))]
        self._passes[issued.pass_id] = issued
        return secret, issued

    def find(self, secret: str | None, now: float) -> Pass | None:
        """Return the pass a cookie's secret belongs to, None if there is none or it expired."""
        if not secret:
            return None
        found = self._passes.get(_digest(secret))
        return found if found is not None and now < found.expires_at else None

    def set_station(self, pass_id: str, station: str) -> None:
        """Name the station of a pass that is still held."""
        if pass_id in self._passes:
            self._passes[pass_id] = replace(self._passes[pass_id], station=station)

    def revoke(self, pass_id: str) -> None:
        """Take a pass back."""
        self._passes.pop(pass_id, None)

    def held(self, now: float) -> list[Pass]:
        """Return the passes still good, oldest first."""
        self._drop_expired(now)
        return list(self._passes.values())

    def take_up(self, kept: list[Pass], now: float) -> None:
        """Take up the passes of an earlier run; one that would outlast a new one is not ours."""
        latest = now + self._lasting_seconds
        good = [found for found in kept[-MOST_PASSES:] if now < found.expires_at <= latest]
        self._passes.update({found.pass_id: found for found in good})

    def _drop_expired(self, now: float) -> None:
        self._passes = {key: p for key, p in self._passes.items() if now < p.expires_at}


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
