"""What every request passes: the Host check, and the headers on every answer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from aiohttp import web

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from aiohttp.typedefs import Handler, Middleware

    from floorboard.serve.hosts import HostRules

_FIXED_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # Not "no-referrer": with that a browser would send forms with the origin "null".
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "Server": "floorboard",
}


def content_policy(host: str | None) -> str:
    """Return the content security policy: nothing from outside, no framing, no inline script.

    Parameters
    ----------
    host
        The Host header if it was found good, or None. Some browsers do not count a socket of the
        page's own address as ``'self'``, so it is named.
    """
    sockets = f" ws://{host} wss://{host}" if host else ""
    return "; ".join(
        (
            "default-src 'none'",
            "script-src 'self'",
            # The terminal widget writes its own style elements.
            "style-src 'self' 'unsafe-inline'",
            "font-src 'self'",
            "img-src 'self' data:",
            f"connect-src 'self'{sockets}",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )


def header_writer(
    rules: HostRules,
) -> Callable[[web.Request, web.StreamResponse], Awaitable[None]]:
    """Make the signal handler that puts the security headers on every answer."""

    async def add_headers(request: web.Request, response: web.StreamResponse) -> None:
        good = rules.host_allowed(request.headers.get("Host", ""), arrived_at(request))
        response.headers.update(_FIXED_HEADERS)
        response.headers["Content-Security-Policy"] = content_policy(request.host if good else None)
        is_static = request.path.startswith(("/static/", "/page/"))
        response.headers.setdefault("Cache-Control", "no-cache" if is_static else "no-store")

    return add_headers


def arrived_at(request: web.Request) -> tuple[str, int] | None:
    """Return this machine's own address and port on the request's connection."""
    name = request.transport.get_extra_info("sockname") if request.transport else None
    return (str(name[0]), int(name[1])) if isinstance(name, tuple) else None


def host_gate(rules: HostRules) -> Middleware:
    """Make the middleware that answers only at this server's own addresses."""

    @web.middleware
    async def gate(request: web.Request, handler: Handler) -> web.StreamResponse:
        if not rules.host_allowed(request.headers.get("Host", ""), arrived_at(request)):
            raise web.HTTPMisdirectedRequest(
                text="The board does not answer at this address. Use one of those shown where it "
                "was started, or start it with this one as its public address.\n"
            )
        return await handler(request)

    return gate
