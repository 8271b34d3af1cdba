"""How often a PIN may be tried: locks that grow, for each address and for all together."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class LockRule:
    """After how many failures a lock begins, and how it grows.

    ``free`` failures cost nothing. The next one locks for ``first_seconds``, each later one for
    twice as long as the one before, up to ``longest_seconds``. Failures are forgotten after
    ``forget_seconds`` without one.
    """

    free: int
    first_seconds: float
    longest_seconds: float
    forget_seconds: float

    def lock_seconds(self, failures: int) -> float:
        """Return how long the lock after this many failures lasts, in seconds."""
        beyond = failures - self.free
        if beyond <= 0:
            return 0.0
        # 2**60 half-minutes is past every limit, and a larger exponent only costs memory.
        return min(self.longest_seconds, self.first_seconds * 2.0 ** min(beyond - 1, 60))


ADDRESS_RULE = LockRule(free=4, first_seconds=30, longest_seconds=3600, forget_seconds=6 * 3600)
OVERALL_RULE = LockRule(free=20, first_seconds=5, longest_seconds=300, forget_seconds=3600)
"""For all addresses together, so that many machines guess no faster than one."""


@dataclass(slots=True)
class _Tries:
    failures: int = 0
    last_at: float = 0.0
    locked_until: float = 0.0

    def add(self, rule: LockRule, now: float) -> None:
        if now - self.last_at > rule.forget_seconds:
            self.failures = 0
        self.failures += 1
        self.last_at = now
        self.locked_until = now + rule.lock_seconds(self.failures)


@dataclass(slots=True)
class Attempts:
    """The failed PIN entries so far. ``now`` is monotonic seconds."""

    address_rule: LockRule = ADDRESS_RULE
    overall_rule: LockRule = OVERALL_RULE
    most_addresses: int = 1000
    _addresses: dict[str, _Tries] = field(default_factory=dict)
    _overall: _Tries = field(default_factory=_Tries)

    def wait_seconds(self, address: str, now: float) -> float:
        """Return how long this address must still wait before a PIN is looked at, 0 if not."""
        own = self._addresses.get(_group(address), _Tries())
        return max(0.0, own.locked_until - now, self._overall.locked_until - now)

    def failed(self, address: str, now: float) -> None:
        """Count a wrong PIN."""
        group = _group(address)
        # Taken out and put back, the dictionary stays in the order of the latest failure.
        tries = self._addresses.pop(group, _Tries(last_at=now))
        tries.add(self.address_rule, now)
        self._addresses[group] = tries
        self._overall.add(self.overall_rule, now)
        while len(self._addresses) > self.most_addresses:
            del self._addresses[next(iter(self._addresses))]

    def succeeded(self, address: str) -> None:
        """Forget the failures of an address that knew the PIN; the overall count stays."""
        self._addresses.pop(_group(address), None)


def _group(address: str) -> str:
    """Return what counts as one sender: an IPv4 address, or an IPv6 network of one line (/64)."""
    try:
        parsed = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if isinstance(parsed, ipaddress.IPv6Address):
        if parsed.ipv4_mapped is not None:
            return str(parsed.ipv4_mapped)
        return str(ipaddress.ip_network((int(parsed) >> 64 << 64, 64)))
    return str(parsed)
