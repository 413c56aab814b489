"""Files dropped on the page, laid out as an order in a folder of its own."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Container, Iterable, Iterator, Sequence
from itertools import chain, count
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from prep.errors import InputError
from prep_page.packed import files_in

_ARTWORK, _FONT = (".svg", ".svgz"), (".ttf", ".otf", ".woff", ".woff2")
_ARCHIVE = ".zip"
_DROP_WITH = {
    "print": "drop it together with the order",
    "font": "drop the font's file together with the order",
}
_LARGEST_ORDER, _LARGEST_DROP = 1_000_000, 20_000_000  # bytes
_UNSAFE = re.compile(r"[^\w .()+-]+")


def lay_out(folder: Path, files: Sequence[tuple[str, bytes]]) -> str:
    """Write an order and what it names into an empty folder.

    An artwork alone becomes an order of one print. An order.toml is taken with the artworks and fonts
    that it names, by their names without folders; so is one in an archive.

    :param files: (name, content) as dropped
    :return: what to call the order
    :raises InputError: no artwork, several without an order, a file that the order names is missing,
        one that nothing names, or two of one name
    """
    archives = [(name, data) for name, data in files if name.lower().endswith(_ARCHIVE)]
    if archives:
        if len(files) > 1:
            raise InputError(
                "came with other files",
                where=archives[0][0],
                do="drop an archive alone, or unzip it and drop what it holds",
            )
        (name, data) = archives[0]
        files = files_in(name, data, lambda order: [base for *_, base in _named(_parsed(order))])
    orders = [(name, data) for name, data in files if name.lower().endswith(".toml")]
    others = _by_base((name, data) for name, data in files if not name.lower().endswith(".toml"))
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
    _refuse_unused(others, [name], "a font is used only where an order.toml names it")
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


def files_of(folder: Path) -> list[tuple[str, bytes]]:
    """Read an order that lies in a folder with the files it names, as if these had been dropped.

    :return: (name, content), order.toml first
    :raises InputError: there is no order, a file it names is missing or lies elsewhere, or it is too much
    """
    left = _LARGEST_DROP

    def read(path: Path, name: str) -> bytes:
        nonlocal left
        try:
            if not path.resolve().is_relative_to(folder.resolve()):
                raise InputError(
                    "lies outside the order's folder", where=name, do="drop it yourself"
                )
            left -= path.stat().st_size
            if left < 0:
                what = f"what the order names is more than {_LARGEST_DROP / 1e6:.0f} MB"
                raise InputError(what, where=name, do="simplify the drawing")
            return path.read_bytes()
        except OSError as error:
            raise InputError(
                f"can't be read: {error.strerror or error}",
                where=name,
                do="drop the order yourself",
            ) from error

    order = read(folder / "order.toml", "order.toml")
    named = {path: base for *_, path, base in _named(_parsed(order))}
    return [
        ("order.toml", order),
        *((base, read(folder / path, base)) for path, base in named.items()),
    ]


def _with_order(folder: Path, data: bytes, others: dict[str, bytes]) -> str:
    document = _parsed(data)
    meant: dict[str, str] = {}  # bare name -> path in the order
    stored: dict[str, str] = {}  # bare name -> name here
    for kind, entry, key, path, base in _named(document):
        if base not in others:
            raise InputError(f"the order names {base}, which isn't here", do=_DROP_WITH[kind])
        if meant.setdefault(base, path) != path:
            raise InputError(
                f"names {meant[base]} and {path}, and files come here without folders",
                where="order.toml",
                do="give the two files different names",
            )
        if base not in stored:
            stored[base] = _free(_stored(base), stored.values())
            (folder / stored[base]).write_bytes(others[base])
        entry[key] = stored[base]
    _refuse_unused(others, stored, "the order doesn't name it")
    (folder / "order.toml").write_text(tomlkit.dumps(document), "utf-8")
    name = document.get("name")
    return name if isinstance(name, str) and name else "job"


def _named(document: Any) -> Iterator[tuple[str, Any, str, str, str]]:
    """Give each file that an order names: kind, entry, key in it, path as written, bare name.

    What is no list of tables, or no name, is left out: it is told when the order is read.
    """
    for kind, key in (("print", "artwork"), ("font", "file")):
        entries = document.get(kind)
        for entry in entries if isinstance(entries, list) else ():
            named = entry.get(key) if isinstance(entry, dict) else None
            if isinstance(named, str):
                path = PurePosixPath(PureWindowsPath(named).as_posix())
                yield kind, entry, key, str(path), path.name


def _by_base(files: Iterable[tuple[str, bytes]]) -> dict[str, bytes]:
    """Give files by their bare names.

    :raises InputError: two of one bare name
    """
    found: dict[str, bytes] = {}
    for name, data in files:
        base = _base(name)
        if base in found:
            raise InputError(
                "was dropped twice, from two folders", where=base, do="give each a name of its own"
            )
        found[base] = data
    return found


def _refuse_unused(others: Iterable[str], used: Container[str], why: str) -> None:
    unused = [name for name in others if name not in used]
    if unused:
        more = f", nor have {len(unused) - 1} more" if len(unused) > 1 else ""
        raise InputError(
            f"has no use here{more}: {why}",
            where=unused[0],
            do="drop only what belongs to the order, or name it in order.toml",
        )


def _parsed(data: bytes) -> Any:
    if len(data) > _LARGEST_ORDER:
        raise InputError("is too large for an order", where="order.toml", do="check the file")
    try:
        text = data.decode("utf-8-sig")
        tomllib.loads(text)
        return tomlkit.parse(text)
    except UnicodeDecodeError:
        raise InputError("is not UTF-8 text", where="order.toml", do="save it as UTF-8") from None
    except (tomllib.TOMLDecodeError, TOMLKitError, RecursionError) as error:
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


def _free(name: str, taken: Iterable[str]) -> str:
    """Give a name that no other file has, numbered where it must be.

    :param taken: some systems don't tell capitals, or two spellings of an accent, apart
    """
    known = {_alike(other) for other in taken}
    path = PurePosixPath(name)
    numbered = (f"{path.stem}-{number}{path.suffix}" for number in count(2))
    return next(one for one in chain((name,), numbered) if _alike(one) not in known)


def _alike(name: str) -> str:
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
