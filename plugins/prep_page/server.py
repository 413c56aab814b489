"""The page's addresses: static files from a fixed list, orders as JSON, pictures and files by name."""

from __future__ import annotations

import asyncio
import contextlib
import json
import re
from collections.abc import AsyncIterator
from importlib import resources
from typing import Any
from urllib.parse import quote, unquote

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import ClientDisconnect, Request
from starlette.responses import (
    FileResponse,
    JSONResponse,
    Response,
    StreamingResponse,
)
from starlette.routing import Route

from prep.errors import PrepError
from prep_page.desk import Desk, OpenOrder, order_file, picture_file
from prep_page.edits import KINDS, Change
from prep_page.gate import Gate
from prep_page.places import FILES, RESULT

LARGEST_FILE = 20_000_000
"""Bytes of one file dropped; larger drawings are no artwork for a knife."""
_LARGEST_ASK = 1_000_000
_MOST_FILES = 20
_STATIC = {
    "/": ("page.html", "text/html; charset=utf-8"),
    "/page.css": ("page.css", "text/css; charset=utf-8"),
    **{
        f"/{name}.js": (f"{name}.js", "text/javascript; charset=utf-8")
        for name in (
            "page",
            "page-blocks",
            "page-dom",
            "page-forms",
            "page-marks",
            "page-picture",
            "page-talk",
            "page-why",
            "page-words",
            "page-work",
        )
    },
}
_PICTURE = re.compile("[0-9a-f]{32}")
_SANDBOX = "default-src 'none'; style-src 'unsafe-inline'; sandbox"


_HALF_A_SIGN = re.compile("[\ud800-\udfff]")
"""JSON can hold halves of signs, which no file can."""


class _Json(JSONResponse):
    """JSON of plain ASCII: whatever a text holds, it can be sent."""

    def render(self, content: Any) -> bytes:
        """Give the body."""
        return json.dumps(content, allow_nan=False, separators=(",", ":")).encode("ascii")


class _Refused(Exception):  # named by what happened
    def __init__(self, status: int, *lines: str) -> None:
        self.status, self.lines = status, lines


def make_app(desk: Desk, port: int, key: str) -> Starlette:
    """Give the application.

    :param key: that the address must carry once, see :class:`prep_page.gate.Gate`
    """
    static = resources.files("prep_page").joinpath("static")
    pages = {
        path: (static.joinpath(name).read_bytes(), kind) for path, (name, kind) in _STATIC.items()
    }
    addresses = _Addresses(desk, pages)

    @contextlib.asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        working = asyncio.create_task(desk.work())
        try:
            yield
        finally:
            working.cancel()
            desk.put_away()
            with contextlib.suppress(asyncio.CancelledError):
                await working

    async def refused(_: Request, error: Exception) -> Response:
        assert isinstance(error, _Refused)
        return _Json({"lines": list(error.lines)}, error.status)

    return Starlette(
        routes=[
            *(Route(path, addresses.static) for path in pages),
            Route("/favicon.ico", addresses.nothing),
            Route("/orders", addresses.orders, methods=["GET"]),
            Route("/orders", addresses.open, methods=["POST"]),
            Route("/orders/{key}", addresses.state, methods=["GET"]),
            Route("/orders/{key}", addresses.close, methods=["DELETE"]),
            Route("/orders/{key}/events", addresses.events, methods=["GET"]),
            Route("/orders/{key}/result", addresses.result, methods=["GET"]),
            Route("/orders/{key}/order.toml", addresses.order_toml, methods=["GET"]),
            Route("/orders/{key}/changes", addresses.change, methods=["POST"]),
            Route("/orders/{key}/shown", addresses.shown, methods=["POST"]),
            Route("/orders/{key}/cancel", addresses.cancel, methods=["POST"]),
            Route("/orders/{key}/files", addresses.make_files, methods=["POST"]),
            Route("/orders/{key}/files/{name:path}", addresses.file, methods=["GET"]),
            Route("/orders/{key}/pictures/{digest}", addresses.picture, methods=["GET"]),
        ],
        middleware=[Middleware(Gate, port=port, key=key)],
        exception_handlers={_Refused: refused},
        lifespan=lifespan,
    )


class _Addresses:
    def __init__(self, desk: Desk, pages: dict[str, tuple[bytes, str]]) -> None:
        self._desk, self._pages = desk, pages

    async def static(self, request: Request) -> Response:
        data, kind = self._pages[request.url.path]
        return Response(data, media_type=kind)

    async def nothing(self, _: Request) -> Response:
        return Response(status_code=204)

    async def orders(self, _: Request) -> Response:
        return _Json(self._desk.orders())

    async def open(self, request: Request) -> Response:
        """Take files as one body: a line of JSON, ``[[name, bytes], ...]``, then their contents."""
        body = await _body(request, LARGEST_FILE + _LARGEST_ASK)
        try:
            order = self._desk.open(_unpacked(body))
        except PrepError as error:
            raise _Refused(422, *error.lines()) from error
        except OSError as error:
            why = error.strerror or str(error)
            raise _Refused(
                507, f"The files can't be kept: {why}; see to that, then drop them again."
            ) from error
        await self._desk.tell(order)
        return _Json(order.state(), 201)

    async def state(self, request: Request) -> Response:
        return _Json(self._order(request).state())

    async def close(self, request: Request) -> Response:
        order = self._order(request)
        self._desk.close(order)
        await self._desk.tell(order)
        return Response(status_code=204)

    async def events(self, request: Request) -> Response:
        order = self._order(request)
        return StreamingResponse(self._desk.follow(order), media_type="text/event-stream")

    async def result(self, request: Request) -> Response:
        # read at once: a newer one may take its place at any moment
        try:
            data = await asyncio.to_thread((self._order(request).folder / RESULT).read_bytes)
        except FileNotFoundError:
            raise _Refused(404, "Nothing is known of this order yet.") from None
        return Response(data, media_type="application/json")

    async def order_toml(self, request: Request) -> Response:
        return _download(order_file(self._order(request)).read_bytes(), "order.toml")

    async def change(self, request: Request) -> Response:
        order = self._order(request)
        asked = _json(await _body(request, _LARGEST_ASK))
        if not isinstance(asked, list):
            raise _Refused(400, "Changes come as a list.")
        self._desk.change(order, [_change(one) for one in asked])
        await self._desk.tell(order)
        return _Json(order.state(), 202)

    async def shown(self, request: Request) -> Response:
        """Take the number of the set-up that is looked at."""
        order = self._order(request)
        number = _json(await _body(request, _LARGEST_ASK))
        if not isinstance(number, int) or isinstance(number, bool) or number < 0:
            raise _Refused(400, "A set-up is shown by its number.")
        order.shown = number
        return Response(status_code=204)

    async def cancel(self, request: Request) -> Response:
        order = self._order(request)
        self._desk.cancel(order)
        await self._desk.tell(order)
        return _Json(order.state(), 202)

    async def make_files(self, request: Request) -> Response:
        order = self._order(request)
        self._desk.make_files(order)
        await self._desk.tell(order)
        return _Json(order.state(), 202)

    async def file(self, request: Request) -> Response:
        order, name = self._order(request), request.path_params["name"]
        known = {one["name"] for one in order.state()["files"]}
        if name not in known:
            raise _Refused(404, "There is no such file; make the files again.")
        data = await asyncio.to_thread((order.folder / FILES / name).read_bytes)
        return _download(data, name.rpartition("/")[2])

    async def picture(self, request: Request) -> Response:
        order, digest = self._order(request), request.path_params["digest"]
        path = picture_file(order, digest)
        if _PICTURE.fullmatch(digest) is None or not path.is_file():
            raise _Refused(404, "There is no such picture.")
        # named by what it shows, so it never changes
        headers = {"content-security-policy": _SANDBOX, "cache-control": "private, max-age=86400"}
        return FileResponse(path, media_type="image/svg+xml", headers=headers)

    def _order(self, request: Request) -> OpenOrder:
        order = self._desk.order(request.path_params["key"])
        if order is None:
            raise _Refused(404, "This order doesn't lie open any more.")
        return order


async def _body(request: Request, most: int) -> bytes:
    """Read a body, and stop as soon as it is larger than allowed, whatever it said of itself."""
    said = request.headers.get("content-length", "")
    if said.isdecimal() and int(said) > most:
        raise _Refused(413, f"More than {most / 1e6:.0f} MB was sent; simplify the drawing.")
    parts, length = [], 0
    try:
        async for part in request.stream():
            length += len(part)
            if length > most:
                raise _Refused(
                    413, f"More than {most / 1e6:.0f} MB was sent; simplify the drawing."
                )
            parts.append(part)
    except ClientDisconnect:
        raise _Refused(400, "The connection broke; drop the file again.") from None
    return b"".join(parts)


def _json(data: bytes) -> Any:
    try:
        return json.loads(data)
    except (ValueError, RecursionError):
        raise _Refused(400, "What was sent is not JSON.") from None


def _unpacked(body: bytes) -> list[tuple[str, bytes]]:
    head, found, rest = body.partition(b"\n")
    listed = _json(head) if found else None
    if not isinstance(listed, list) or not 0 < len(listed) <= _MOST_FILES:
        raise _Refused(400, f"Drop from one to {_MOST_FILES} files.")
    files = []
    for entry in listed:
        match entry:
            case [str(name), int(size)] if 0 <= size <= len(rest) and 0 < len(name) <= 300:
                files.append((name, rest[:size]))
                rest = rest[size:]
            case _:
                raise _Refused(400, "A file came incomplete; drop it again.")
    if rest:
        raise _Refused(400, "More came than was said; drop the files again.")
    return files


def _change(given: Any) -> Change:
    match given:
        case {"path": [str(), *_] as path, "kind": str(kind), "text": str() | None as text}:
            plain = all(isinstance(part, str | int) and not isinstance(part, bool) for part in path)
            if plain and len(path) <= 12 and kind in KINDS:
                if any(_HALF_A_SIGN.search(str(part)) for part in (*path, text)):
                    raise _Refused(400, "A sign came broken; type it again.")
                return Change(tuple(path), kind, text)
    raise _Refused(400, "A change names its setting, its kind and its text.")


def _download(data: bytes, name: str) -> Response:
    kinds = {"pdf": "application/pdf", "zip": "application/zip", "toml": "application/toml"}
    kind = kinds.get(name.rpartition(".")[2], "application/octet-stream")
    headers = {
        "content-disposition": f"attachment; filename*=UTF-8''{quote(unquote(name))}",
        "content-security-policy": "default-src 'none'; sandbox",
    }
    return Response(data, media_type=kind, headers=headers)
