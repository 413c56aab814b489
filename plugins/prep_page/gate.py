"""What may come in and what goes out with every answer: the page is for this computer's own browser alone.

Any site open in the same browser can send requests to this port, and a name it owns can be made to point
here. So the host must be exactly ours, whatever changes something must come from our own page, and nothing
is answered without the key that the page's address carried when it was opened.
"""

from __future__ import annotations

import hmac

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HEADER = "x-firstpull"
"""Sent by our own script with whatever changes something: a form of another site can't send it."""
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self';"
    " form-action 'none'; frame-ancestors 'none'; base-uri 'none'"
)
_ALWAYS = {
    "content-security-policy": _POLICY,
    "x-content-type-options": "nosniff",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
}
_NO_KEY = "This page belongs to whoever started it. Open the address that prep page printed.\n"


class Gate:
    """Lets through what comes from our own page.

    :param port: that the page is served at
    :param key: that opens it
    """

    def __init__(self, app: ASGIApp, port: int, key: str) -> None:
        """Stand before an application."""
        self._app, self._key = app, key
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self._origins = {f"http://{host}" for host in self._hosts}
        # a cookie is sent to every port of a host, so each port has its own
        self._cookie = f"firstpull-{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or hand it on."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _ALWAYS.items():
                    headers.setdefault(name, value)
            await send(message)

        refused = self._refused(Request(scope))
        if refused is None:
            await self._app(scope, receive, guarded)
        else:
            await refused(scope, receive, guarded)

    def _refused(self, request: Request) -> Response | None:
        headers = request.headers
        if len(headers.getlist("host")) != 1 or headers["host"] not in self._hosts:
            return PlainTextResponse("Not the page's address.\n", 421)
        if request.method not in ("GET", "HEAD") and not self._is_ours(headers):
            return PlainTextResponse("Only the page itself may ask for this.\n", 403)
        if headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
            return PlainTextResponse("Only the page itself may ask for this.\n", 403)
        given = request.query_params.get("key")
        if given is not None and request.url.path == "/" and self._opens(given):
            response = RedirectResponse("/", 303)
            response.set_cookie(self._cookie, self._key, httponly=True, samesite="strict", path="/")
            return response
        if not self._opens(self._key_of(headers)):
            return PlainTextResponse(_NO_KEY, 403)
        return None

    def _is_ours(self, headers: Headers) -> bool:
        return headers.get("origin") in self._origins and headers.get(HEADER) == "1"

    def _opens(self, given: str) -> bool:
        return hmac.compare_digest(given.encode(), self._key.encode())

    def _key_of(self, headers: Headers) -> str:
        # by hand: a strict reader gives up at a cookie of some other program on this host
        for cookie in ";".join(headers.getlist("cookie")).split(";"):
            name, _, value = cookie.strip(" \t").partition("=")
            if name == self._cookie:
                return value
        return ""
