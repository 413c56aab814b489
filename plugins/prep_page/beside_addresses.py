"""Addresses of what lies beside the orders: the list of views, their pages, forms, pictures and files."""

from __future__ import annotations

import asyncio
import re
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

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
from prep_page.beside import Asked, Beside, Outcome, Sent
from prep_page.desk import Desk
from prep_page.filled import Typed
from prep_page.places import FILES, PICTURES

_KEY = re.compile("[0-9A-Za-z-]{16,64}")
_DEEPEST, _LONGEST = 12, 200
"""Words of an address, and signs of each."""


def routes_of(desk: Desk, beside: Beside) -> list[Route]:
    """Give the addresses."""
    addresses = _Addresses(desk, beside)
    return [
        Route("/views", addresses.views, methods=["GET"]),
        Route("/views/{name}", addresses.page, methods=["GET"]),
        Route("/views/{name}", addresses.take, methods=["POST"]),
        Route("/view-pictures/{digest}", addresses.picture, methods=["GET"]),
        Route("/view-files/{key}/{name:path}", addresses.file, methods=["GET"]),
    ]


class _Addresses:
    def __init__(self, desk: Desk, beside: Beside) -> None:
        self._desk, self._beside = desk, beside

    async def views(self, _: Request) -> Response:
        return Json(await self._desk.views())

    async def page(self, request: Request) -> Response:
        """Give the page at the words ``at``, one after another, about the order ``of``."""
        asked = self._asked(
            request, request.query_params.getlist("at"), request.query_params.get("of")
        )
        return _answer(await self._beside.page(asked))

    async def take(self, request: Request) -> Response:
        """Take a form: ``{"at", "of", "form", "key", "typed": {part: [[path, text or rows], ...]}}``."""
        body = await body_of(request, LARGEST_ASK, do="enter it in parts", again="send it again")
        match json_of(body):
            case {
                "at": list(at),
                "of": str() | None as of,
                "form": str(form),
                "key": str(key),
                "typed": dict(typed),
            } if _KEY.fullmatch(key) and _is_plain(typed):
                sent = Sent(self._asked(request, at, of), form, key, _typed(typed))
            case _:
                raise Refused(400, "A form comes with what was typed in it.")
        return _answer(await self._beside.take(sent))

    async def picture(self, request: Request) -> Response:
        return picture(self._beside.folder / PICTURES, request.path_params["digest"])

    async def file(self, request: Request) -> Response:
        key, name = request.path_params["key"], request.path_params["name"]
        folder = self._beside.folder / FILES / key
        path = folder / name
        inside = _KEY.fullmatch(key) and path.resolve().is_relative_to(folder.resolve())
        if not inside or not path.is_file():
            raise Refused(404, "There is no such file any more; ask for it again.")
        return download(await asyncio.to_thread(path.read_bytes), name.rpartition("/")[2])

    def _asked(self, request: Request, at: list[Any], of: str | None) -> Asked:
        words = [word for word in at if isinstance(word, str) and 0 < len(word) <= _LONGEST]
        if len(words) < len(at) or len(at) > _DEEPEST or any(map(HALF_A_SIGN.search, words)):
            raise Refused(400, "A page has an address of a few words.")
        order = None
        if of is not None:
            order = self._desk.order(of)
            if order is None:
                raise Refused(404, "This order doesn't lie open any more.")
        return Asked(request.path_params["name"], tuple(words), order)


def _answer(outcome: Outcome) -> Response:
    # browsers note any other status in their consoles as a fault, which a refusal is not
    return Json(outcome.told, 200 if outcome.status == 422 else outcome.status)


def _is_plain(value: Any) -> bool:
    """Say whether texts are whole, wherever they stand."""
    if isinstance(value, str):
        return HALF_A_SIGN.search(value) is None
    if isinstance(value, dict):
        return all(_is_plain(key) and _is_plain(inner) for key, inner in value.items())
    return all(map(_is_plain, value)) if isinstance(value, list) else True


def _typed(given: dict[str, Any]) -> dict[str, Typed]:
    typed: dict[str, Typed] = {}
    for part, fields in given.items():
        made: list[tuple[tuple[str | int, ...], str | list[list[str]]]] = []
        for one in fields if isinstance(fields, list) else [None]:
            match one:
                case [[str(), *_] as path, str(text)] if all(isinstance(key, str) for key in path):
                    made.append((tuple(path), text))
                case [[str(), *_] as path, list(rows)] if all(
                    isinstance(row, list) and all(isinstance(cell, str) for cell in row)
                    for row in rows
                ) and all(isinstance(key, str) for key in path):
                    made.append((tuple(path), rows))
                case _:
                    raise Refused(400, "A form comes with what was typed in it.")
        typed[part] = made
    return typed
