"""How addresses answer: JSON of plain ASCII, refusals in lines, bodies read up to a limit, files."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, JSONResponse, Response

_PICTURE = re.compile("[0-9a-f]{32}")
_SANDBOX = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
LARGEST_ASK = 1_000_000
"""Bytes of what is asked, without files."""
HALF_A_SIGN = re.compile("[\ud800-\udfff]")
"""JSON can hold halves of signs, which no file can."""


class Json(JSONResponse):
    """JSON of plain ASCII: whatever a text holds, it can be sent."""

    def render(self, content: Any) -> bytes:
        """Give the body."""
        return json.dumps(content, allow_nan=False, separators=(",", ":")).encode("ascii")


class Refused(Exception):  # named by what happened
    """It isn't done; ``lines`` say why."""

    def __init__(self, status: int, *lines: str) -> None:
        """Refuse with a status of HTTP."""
        self.status, self.lines = status, lines


async def body_of(
    request: Request,
    most: int,
    *,
    do: str = "simplify the drawing",
    again: str = "drop the file again",
) -> bytes:
    """Read a body, and stop as soon as it is larger than allowed, whatever it said of itself.

    :param do: what to do where it is larger
    :param again: what to do where it breaks off
    :raises Refused: it is larger than ``most`` bytes, or broke off
    """
    too_much = Refused(413, f"More than {most / 1e6:.0f} MB was sent; {do}.")
    said = request.headers.get("content-length", "")
    if said.isdecimal() and int(said) > most:
        raise too_much
    parts, length = [], 0
    try:
        async for part in request.stream():
            length += len(part)
            if length > most:
                raise too_much
            parts.append(part)
    except ClientDisconnect:
        raise Refused(400, f"The connection broke; {again}.") from None
    return b"".join(parts)


def json_of(data: bytes) -> Any:
    """Read JSON.

    :raises Refused: it is none
    """
    try:
        return json.loads(data)
    except (ValueError, RecursionError):
        raise Refused(400, "What was sent is not JSON.") from None


def picture(folder: Path, digest: str) -> Response:
    """Give a picture of a folder, which is named by what it shows."""
    path = folder / f"{digest}.svg"
    if _PICTURE.fullmatch(digest) is None or not path.is_file():
        raise Refused(404, "There is no such picture.")
    # named by what it shows, so it never changes
    headers = {"content-security-policy": _SANDBOX, "cache-control": "private, max-age=86400"}
    return FileResponse(path, media_type="image/svg+xml", headers=headers)


def download(data: bytes, name: str) -> Response:
    """Give a file that is kept, not shown."""
    kinds = {"pdf": "application/pdf", "zip": "application/zip", "toml": "application/toml"}
    kind = kinds.get(name.rpartition(".")[2], "application/octet-stream")
    headers = {
        "content-disposition": f"attachment; filename*=UTF-8''{quote(unquote(name))}",
        "content-security-policy": "default-src 'none'; sandbox",
    }
    return Response(data, media_type=kind, headers=headers)
