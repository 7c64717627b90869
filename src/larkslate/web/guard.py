"""The gate before every page: only this machine, only our own pages, and nothing from outside in them."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "script-src 'self'",
        "font-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),  # without one a browser hides the Origin of our own forms
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"geolocation=(), camera=(), payment=(), usb=()"),
)


class Guard:
    """Refuse a request that does not name this machine or that another site sent; add safe headers.

    A page of another site can reach a server on the same machine. It cannot forge the Host it asked for
    (which stops a name that is pointed at 127.0.0.1) nor the Origin and Sec-Fetch-Site that the browser adds.
    """

    def __init__(self, app: ASGIApp, *, port: int) -> None:
        self.app = app
        self.hosts = {f"{name}:{port}".encode() for name in LOOPBACK}
        self.origins = {b"http://" + host for host in self.hosts}

    def fault(self, method: str, headers: Iterable[tuple[bytes, bytes]]) -> str | None:
        """Why a request is refused, or None."""
        sent = {name.lower(): value for name, value in headers}
        if sent.get(b"host", b"").lower() not in self.hosts:
            return "This address is not the one that Larkslate listens on."
        origin = sent.get(b"origin")
        if origin is not None and origin.lower() not in self.origins:
            return "Another site sent this request."
        changes = method not in ("GET", "HEAD")
        if changes and origin is None:
            return "This request does not say which page sent it."
        site = sent.get(b"sec-fetch-site", b"none")
        if site in (b"cross-site", b"same-site") and (
            changes or sent.get(b"sec-fetch-mode") != b"navigate"
        ):
            return "Another site sent this request."
        return None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer 403."""
        if scope["type"] != "http":
            return

        async def safe(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *HEADERS]
            await send(message)

        fault = self.fault(scope["method"], scope["headers"])
        if fault is None:
            await self.app(scope, receive, safe)
            return
        text = fault.encode()
        await safe(
            {
                "type": "http.response.start",
                "status": 403,
                "headers": [
                    (b"content-type", b"text/plain; charset=utf-8"),
                    (b"content-length", str(len(text)).encode()),
                ],
            }
        )
        await send({"type": "http.response.body", "body": text})
