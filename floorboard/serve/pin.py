"""The PIN, kept so that it can be compared but not read back."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass

_MARK_COST = {"n": 2**14, "r": 8, "p": 1}


class PinCheck:
    """Compares what was entered with the PIN, in a time that tells nothing about either.

    Both are first turned into digests under a key of this process, so neither the length nor the
    first differing character can be measured.
    """

    def __init__(self, pin: str) -> None:
        self._key = secrets.token_bytes(32)
        self._digest = self._digest_of(pin)

    def matches(self, entered: str) -> bool:
        """Tell whether the PIN was entered."""
        return hmac.compare_digest(self._digest_of(entered), self._digest)

    def _digest_of(self, text: str) -> bytes:
        return hmac.digest(self._key, text.encode("utf-8", "surrogatepass"), "sha256")


@dataclass(frozen=True, slots=True)
class PinMark:
    """A salted, slow digest of a PIN, to tell after a restart whether it is still the same."""

    salt: str
    digest: str

    @classmethod
    def of(cls, pin: str) -> PinMark:
        """Make a fresh mark."""
        salt = secrets.token_hex(16)
        return cls(salt, _slow_digest(pin, salt))

    def fits(self, pin: str) -> bool:
        """Tell whether the mark was made of this PIN."""
        return hmac.compare_digest(_slow_digest(pin, self.salt), self.digest)


def _slow_digest(pin: str, salt: str) -> str:
    digest = hashlib.scrypt(pin.encode(), salt=salt.encode(), dklen=32, **_MARK_COST)
    return digest.hex()
