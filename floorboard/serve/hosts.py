"""Which addresses the server answers at, and which pages may open its socket.

A page on another site can make a browser send requests here, and can make its own name resolve
to this machine. So a request is answered only if its Host header is an address of ours, and a
socket is opened, or a form accepted, only for a page that came from that same address.
"""

from __future__ import annotations

import ipaddress
import socket
from dataclasses import dataclass
from urllib.parse import urlsplit

_IpAddress = ipaddress.IPv4Address | ipaddress.IPv6Address


def machine_names() -> frozenset[str]:
    """Return the names other machines on the network may know this one by, in lower case."""
    short = socket.gethostname().casefold().partition(".")[0]
    names = {short, f"{short}.local", f"{short}.lan", socket.gethostname().casefold()}
    return frozenset(name for name in names if name)


@dataclass(frozen=True, slots=True)
class HostRules:
    """The allow-list of hosts and origins.

    Parameters
    ----------
    names
        Host names answered at on the bound port, in lower case. An IP address needs no listing:
        it is allowed if it is the very one the connection came in at.
    public_url
        The address of a reverse proxy in front, or None.
    """

    names: frozenset[str]
    public_url: str | None = None

    def host_allowed(self, host_header: str, arrived_at: tuple[str, int] | None) -> bool:
        """Tell whether a Host header names this server.

        Parameters
        ----------
        arrived_at
            This machine's own address and port on the connection.
        """
        split = split_host(host_header)
        if split is None:
            return False
        host, port = split
        if self.public_url is not None:
            public = urlsplit(self.public_url)
            if host == public.hostname and port in {None, public.port, _default(public.scheme)}:
                return True
        if arrived_at is None or (port or 80) != arrived_at[1]:
            return False
        literal = _ip(host)
        if literal is not None:
            return literal == _ip(arrived_at[0])
        return host in self.names

    def origin_allowed(self, origin: str | None, host_header: str) -> bool:
        """Tell whether a page of this origin may act here; the Host header is allowed already."""
        if not origin or not origin.isprintable():
            return False
        try:
            parts = urlsplit(origin)
            port = parts.port
        except ValueError:
            return False
        if parts.scheme not in {"http", "https"} or not parts.hostname:
            return False
        if parts.path or parts.query or parts.fragment or parts.username is not None:
            return False
        given = (parts.scheme, parts.hostname, port or _default(parts.scheme))
        if self.public_url is not None:
            public = urlsplit(self.public_url)
            if given == (public.scheme, public.hostname, public.port or _default(public.scheme)):
                return True
        split = split_host(host_header)
        if split is None or parts.scheme != "http":
            return False
        host, host_port = split
        return given == ("http", host, host_port or 80)


def split_host(host_header: str) -> tuple[str, int | None] | None:
    """Return the host in lower case and the port of a Host header, or None if it is malformed."""
    # The parser would pass over line ends and the like, and judge another name than was sent.
    if not host_header.isprintable() or any(c in host_header for c in "/\\?#@, "):
        return None
    try:
        parts = urlsplit(f"//{host_header}")
        host, port = parts.hostname, parts.port
    except ValueError:
        return None
    return (host.rstrip("."), port) if host else None


def _default(scheme: str) -> int:
    return 443 if scheme == "https" else 80


def _ip(text: str) -> _IpAddress | None:
    try:
        address = ipaddress.ip_address(text.partition("%")[0])
    except ValueError:
        return None
    if isinstance(address, ipaddress.IPv6Address) and address.ipv4_mapped is not None:
        return address.ipv4_mapped
    return address
