"""Files dropped on the page, laid out as an order in a folder of its own."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

import tomlkit

from prep.errors import InputError

_ARTWORK, _FONT = (".svg", ".svgz"), (".ttf", ".otf", ".woff", ".woff2")
_LARGEST_ORDER = 1_000_000  # bytes
_UNSAFE = re.compile(r"[^\w .()+-]+")


def lay_out(folder: Path, files: Sequence[tuple[str, bytes]]) -> str:
    """Write an order and what it names into an empty folder.

    An artwork alone becomes an order of one print. An order.toml is taken with the artworks and fonts
    that it names, by their names without folders.

    :param files: (name, content) as dropped
    :return: what to call the order
    :raises InputError: no artwork, several without an order, or a file that the order names is missing
    """
    orders = [(name, data) for name, data in files if name.lower().endswith(".toml")]
    others = {_base(name): data for name, data in files if not name.lower().endswith(".toml")}
    strange = [n for n in others if not n.lower().endswith((*_ARTWORK, *_FONT))]
    if strange:
        raise InputError(
            "is neither an SVG nor an order",
            where=strange[0],
            do="drop an SVG, or an order.toml with the artworks it names",
        )
    if len(orders) > 1:
        raise InputError(
            f"{len(orders)} orders were dropped at once", do="drop one order.toml with its artworks"
        )
    if orders:
        return _with_order(folder, orders[0][1], others)
    artworks = [name for name in others if name.lower().endswith(_ARTWORK)]
    if len(artworks) != 1:
        what = (
            "no artwork was dropped" if not artworks else f"{len(artworks)} artworks were dropped"
        )
        raise InputError(what, do="drop one SVG, or several with the order.toml that names them")
    (name,) = artworks
    stored = _stored(name)
    (folder / stored).write_bytes(others[name])
    title = PurePosixPath(name).stem.strip()[:80] or "job"
    document = tomlkit.document()
    document["name"] = "".join(sign for sign in title if sign.isprintable()) or "job"
    prints, garments = tomlkit.aot(), tomlkit.aot()
    printed, garment = tomlkit.table(), tomlkit.table()
    printed["place"] = "front"
    printed["artwork"] = stored
    prints.append(printed)
    garments.append(garment)
    document["print"] = prints
    document["garment"] = garments
    (folder / "order.toml").write_text(tomlkit.dumps(document), "utf-8")
    return str(document["name"])


def _with_order(folder: Path, data: bytes, others: dict[str, bytes]) -> str:
    document = _parsed(data)
    for kind, key, do in (
        ("print", "artwork", "drop it together with the order"),
        ("font", "file", "drop the font's file together with the order"),
    ):
        for entry in document.get(kind, []):
            named = entry.get(key) if isinstance(entry, dict) else None
            if not isinstance(named, str):
                continue  # told when the order is read
            base = _base(named)
            if base not in others:
                raise InputError(f"the order names {base}, which isn't here", do=do)
            entry[key] = _stored(base)
            (folder / _stored(base)).write_bytes(others[base])
    (folder / "order.toml").write_text(tomlkit.dumps(document), "utf-8")
    name = document.get("name")
    return name if isinstance(name, str) and name else "job"


def _parsed(data: bytes) -> Any:
    if len(data) > _LARGEST_ORDER:
        raise InputError("is too large for an order", where="order.toml", do="check the file")
    try:
        text = data.decode("utf-8-sig")
        tomllib.loads(text)
        return tomlkit.parse(text)
    except UnicodeDecodeError:
        raise InputError("is not UTF-8 text", where="order.toml", do="save it as UTF-8") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(
            f"is not TOML: {error}",
            where="order.toml",
            do="mend it in a text editor; text stands in quotes",
        ) from None


def _base(name: str) -> str:
    """Give a file's name without folders, of whatever system it came from."""
    return PurePosixPath(PureWindowsPath(name).as_posix()).name


def _stored(name: str) -> str:
    """Give a name that can be a file's anywhere; never a path, never one of ours."""
    path = PurePosixPath(name)
    stem = _UNSAFE.sub("_", path.stem).strip(" .")[:60] or "artwork"
    return f"{stem}{path.suffix.lower()}"
