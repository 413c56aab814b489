"""The page's addresses: static files from a fixed list, orders as JSON, pictures and files by name."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator
from importlib import resources
from typing import Any

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import (
    Response,
    StreamingResponse,
)
from starlette.routing import Route

from prep.errors import PrepError
from prep_page.answers import (
    HALF_A_SIGN,
    LARGEST_ASK,
    Json,
    Refused,
    body_of,
    download,
    json_of,
    picture,
)
from prep_page.beside import Beside
from prep_page.beside_addresses import routes_of
from prep_page.desk import Desk, OpenOrder, order_file
from prep_page.edits import KINDS, Change
from prep_page.gate import Gate
from prep_page.places import FILES, PICTURES, RESULT

LARGEST_FILE = 20_000_000
"""Bytes of one file dropped; larger drawings are no artwork for a knife."""
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
            "page-views",
            "page-why",
            "page-words",
            "page-work",
        )
    },
}


def make_app(desk: Desk, port: int, key: str, beside: Beside | None = None) -> Starlette:
    """Give the application.

    :param key: that the address must carry once, see :class:`prep_page.gate.Gate`
    :param beside: what lies beside the orders; ``None`` = nothing does
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
            if beside is not None:
                beside.put_away()
            with contextlib.suppress(asyncio.CancelledError):
                await working

    async def refused(_: Request, error: Exception) -> Response:
        assert isinstance(error, Refused)
        return Json({"lines": list(error.lines)}, error.status)

    return Starlette(
        routes=[
            *(Route(path, addresses.static) for path in pages),
            Route("/favicon.ico", addresses.nothing),
            *(() if beside is None else routes_of(desk, beside)),
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
        exception_handlers={Refused: refused},
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
        return Json(self._desk.orders())

    async def open(self, request: Request) -> Response:
        """Take files as one body: a line of JSON, ``[[name, bytes], ...]``, then their contents."""
        body = await body_of(request, LARGEST_FILE + LARGEST_ASK)
        try:
            order = self._desk.open(_unpacked(body))
        except PrepError as error:
            raise Refused(422, *error.lines()) from error
        except OSError as error:
            why = error.strerror or str(error)
            raise Refused(
                507, f"The files can't be kept: {why}; see to that, then drop them again."
            ) from error
        await self._desk.tell(order)
        return Json(order.state(), 201)

    async def state(self, request: Request) -> Response:
        return Json(self._order(request).state())

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
            raise Refused(404, "Nothing is known of this order yet.") from None
        return Response(data, media_type="application/json")

    async def order_toml(self, request: Request) -> Response:
        return download(order_file(self._order(request)).read_bytes(), "order.toml")

    async def change(self, request: Request) -> Response:
        order = self._order(request)
        asked = json_of(await body_of(request, LARGEST_ASK))
        if not isinstance(asked, list):
            raise Refused(400, "Changes come as a list.")
        self._desk.change(order, [_change(one) for one in asked])
        await self._desk.tell(order)
        return Json(order.state(), 202)

    async def shown(self, request: Request) -> Response:
        """Take the number of the set-up that is looked at."""
        order = self._order(request)
        number = json_of(await body_of(request, LARGEST_ASK))
        if not isinstance(number, int) or isinstance(number, bool) or number < 0:
            raise Refused(400, "A set-up is shown by its number.")
        order.shown = number
        return Response(status_code=204)

    async def cancel(self, request: Request) -> Response:
        order = self._order(request)
        self._desk.cancel(order)
        await self._desk.tell(order)
        return Json(order.state(), 202)

    async def make_files(self, request: Request) -> Response:
        order = self._order(request)
        self._desk.make_files(order)
        await self._desk.tell(order)
        return Json(order.state(), 202)

    async def file(self, request: Request) -> Response:
        order, name = self._order(request), request.path_params["name"]
        known = {one["name"] for one in order.state()["files"]}
        if name not in known:
            raise Refused(404, "There is no such file; make the files again.")
        data = await asyncio.to_thread((order.folder / FILES / name).read_bytes)
        return download(data, name.rpartition("/")[2])

    async def picture(self, request: Request) -> Response:
        order = self._order(request)
        return picture(order.folder / PICTURES, request.path_params["digest"])

    def _order(self, request: Request) -> OpenOrder:
        order = self._desk.order(request.path_params["key"])
        if order is None:
            raise Refused(404, "This order doesn't lie open any more.")
        return order


def _unpacked(body: bytes) -> list[tuple[str, bytes]]:
    head, found, rest = body.partition(b"\n")
    listed = json_of(head) if found else None
    if not isinstance(listed, list) or not 0 < len(listed) <= _MOST_FILES:
        raise Refused(400, f"Drop from one to {_MOST_FILES} files.")
    files = []
    for entry in listed:
        match entry:
            case [str(name), int(size)] if 0 <= size <= len(rest) and 0 < len(name) <= 300:
                files.append((name, rest[:size]))
                rest = rest[size:]
            case _:
                raise Refused(400, "A file came incomplete; drop it again.")
    if rest:
        raise Refused(400, "More came than was said; drop the files again.")
    return files


def _change(given: Any) -> Change:
    match given:
        case {"path": [str(), *_] as path, "kind": str(kind), "text": str() | None as text}:
            plain = all(isinstance(part, str | int) and not isinstance(part, bool) for part in path)
            if plain and len(path) <= 12 and kind in KINDS:
                if any(HALF_A_SIGN.search(str(part)) for part in (*path, text)):
                    raise Refused(400, "A sign came broken; type it again.")
                return Change(tuple(path), kind, text)
    raise Refused(400, "A change names its setting, its kind and its text.")
