"""What is dropped together becomes one order: every file is used, or it is said why not."""

from __future__ import annotations

import io
import tomllib
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError
from prep_page import packed
from prep_page.dropped import lay_out

ONE, TWO = b'<svg id="one"/>', b'<svg id="two"/>'
File = tuple[str, bytes]


def order_of(*artworks: str, more: str = "") -> File:
    """Give an order of one print for each artwork."""
    prints = "".join(f"[[print]]\nartwork = '{name}'\n" for name in artworks)
    return "order.toml", f"{prints}{more}".encode()


def archive_of(*files: File, way: int = zipfile.ZIP_DEFLATED) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", way) as archive:
        for name, data in files:
            archive.writestr(name, data)
    return made.getvalue()


def laid_out(folder: Path) -> list[bytes]:
    """Give the content of each artwork that the order in a folder names, in its order."""
    order: dict[str, Any] = tomllib.loads((folder / "order.toml").read_text("utf-8"))
    return [(folder / printed["artwork"]).read_bytes() for printed in order["print"]]


@pytest.mark.parametrize(
    ("one", "two"),
    [
        ("logo?.svg", "logo!.svg"),
        ("a" * 60 + "1.svg", "a" * 60 + "2.svg"),
        ("Fish.svg", "fish.svg"),
        ("é.svg", "e\N{COMBINING ACUTE ACCENT}.svg"),
        ("?.svg", "artwork.svg"),
        ("fish-2.svg", "fish.svg"),
        ("fish.SVG", "fish.svg"),
    ],
)
def test_artworks_of_different_names_stay_apart(tmp_path: Path, one: str, two: str) -> None:
    """Also where their names here come to the same, or some systems can't tell them apart."""
    lay_out(tmp_path, [order_of(one, two, one), (one, ONE), (two, TWO)])
    assert laid_out(tmp_path) == [ONE, TWO, ONE]
    names = [path.name.casefold() for path in tmp_path.glob("*.[sS]*")]
    assert len(names) == len(set(names)) == 2


@pytest.mark.parametrize(
    ("files", "said"),
    [
        (
            [order_of("front/art.svg", "back/art.svg"), ("front/art.svg", ONE), ("back/art.svg", TWO)],
            "art.svg: was dropped twice",
        ),
        (
            [order_of("front/art.svg", r"back\art.svg"), ("art.svg", ONE)],
            "order.toml: names front/art.svg and back/art.svg",
        ),
        ([("a/art.svg", ONE), ("b/art.svg", TWO)], "art.svg: was dropped twice"),
        ([order_of("art.svg"), ("art.svg", ONE), ("spare.svg", TWO)], "spare.svg: has no use here"),
        (
            [order_of("art.svg"), ("art.svg", ONE), ("b.svg", TWO), ("c.svg", TWO), ("d.ttf", b"")],
            "b.svg: has no use here, nor have 2 more: the order doesn't name it",
        ),
        ([("art.svg", ONE), ("own.ttf", b"font")], "own.ttf: has no use here: a font is used only"),
        ([("all.zip", b""), ("art.svg", ONE)], "all.zip: came with other files"),
    ],
)  # fmt: skip
def test_no_file_is_passed_over(tmp_path: Path, files: Sequence[File], said: str) -> None:
    """One line names the file and says what to do."""
    with pytest.raises(InputError) as refused:
        lay_out(tmp_path, files)
    assert str(refused.value).startswith(said)
    assert refused.value.do


def test_the_same_artwork_may_be_named_twice(tmp_path: Path) -> None:
    """Written in two ways, it is the same path."""
    lay_out(tmp_path, [order_of("art.svg", "./art.svg"), ("art.svg", ONE)])
    assert laid_out(tmp_path) == [ONE, ONE]


@pytest.mark.parametrize(
    "order",
    [b"print = 5\n", b"font = 3\n", b"print = [5]\n", b'print = "x"\n', b"[print]\nartwork = 1\n"],
)
def test_what_is_no_list_is_left_for_the_settings(tmp_path: Path, order: bytes) -> None:
    """It is told in their words when the order is read."""
    lay_out(tmp_path, [("order.toml", order)])
    assert tomllib.loads((tmp_path / "order.toml").read_text()) == tomllib.loads(order.decode())


@pytest.mark.parametrize("folder", ["", "everything/", "a/b/"])
def test_an_archive_is_opened(tmp_path: Path, folder: str) -> None:
    """Its outermost order is taken with what that names; nothing else in it is read or written."""
    font = "[[font]]\nfamily = 'Own'\nfile = 'own.ttf'\n"
    name, order = order_of("art.svg", more=font)
    order = b'name = "packed"\n' + order
    data = archive_of(
        ("__MACOSX/._order.toml", b"x"),
        (f"{folder}one/order.toml", b"no TOML"),
        (f"{folder}{name}", order),
        (f"{folder}art.svg", ONE),
        (f"{folder}own.ttf", b"font"),
        (f"{folder}film.svg", TWO),
        (f"{folder}prep-sheet.pdf", b"%PDF"),
        ("../evil.svg", TWO),
        ("art.svg/", b""),
    )
    assert lay_out(tmp_path, [("everything.zip", data)]) == "packed"
    assert laid_out(tmp_path) == [ONE]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["art.svg", "order.toml", "own.ttf"]
    assert (tmp_path / "own.ttf").read_bytes() == b"font"


def _encrypted(data: bytes) -> bytes:
    """Mark each entry as encrypted."""
    marked = bytearray(data)
    for signature, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = marked.find(signature)
        while at >= 0:
            marked[at + flags] |= 1
            at = marked.find(signature, at + 4)
    return bytes(marked)


WHOLE = archive_of(order_of("art.svg"), ("art.svg", ONE))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is no archive"),
        (b"x" * 100, "is no archive"),
        (WHOLE[:-1], "is no archive"),
        (WHOLE + b"x", "is no archive"),
        (WHOLE[:-22] + b"PK\x06\x07" + bytes(16) + WHOLE[-22:], "is no archive"),
        (WHOLE[:-10] + b"\xff\xff\xff\x7f" + WHOLE[-6:], "is no archive"),
        (WHOLE[:-10] + b"\x80\x84\x1e\x00" + WHOLE[-6:], "is no archive"),
        (b"x" + WHOLE[40:], "can't be unpacked"),
        (WHOLE.replace(b"PK\x03\x04", b"PK\x03\x05"), "can't be unpacked"),
        (_encrypted(WHOLE), "holds order.toml encrypted"),
        (archive_of(order_of("art.svg"), way=zipfile.ZIP_LZMA), "holds order.toml encrypted or packed"),
        (archive_of(("art.svg", ONE)), "holds no order.toml"),
        (archive_of(("a/order.toml", b""), ("b/order.toml", b"")), "holds 2 orders"),
        (archive_of(order_of("art.svg")), "the order names art.svg, which isn't here"),
        (archive_of(order_of("../art.svg"), ("../art.svg", ONE)), "the order names art.svg"),
        (archive_of(("order.toml", b"x = ")), "order.toml: is not TOML"),
    ],
)  # fmt: skip
def test_an_archive_that_cant_be_used_is_told(tmp_path: Path, data: bytes, said: str) -> None:
    """Nothing of it is written."""
    with pytest.raises(InputError) as refused:
        lay_out(tmp_path, [("all.zip", data)])
    assert str(refused.value).removeprefix("all.zip: ").startswith(said)
    assert not list(tmp_path.iterdir())


def test_a_name_that_stands_twice_in_an_archive_is_refused(tmp_path: Path) -> None:
    """Programs differ in which of the two they take."""
    with pytest.warns(UserWarning, match="Duplicate"):
        data = archive_of(order_of("art.svg"), ("art.svg", ONE), ("art.svg", TWO))
    with pytest.raises(InputError, match="all.zip: holds art.svg twice"):
        lay_out(tmp_path, [("all.zip", data)])


def test_what_an_archive_unpacks_to_is_limited(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All that is read together, whatever it says of its own size; the rest may be large."""
    name, order = order_of("art.svg")
    monkeypatch.setattr(packed, "_MOST_BYTES", len(order) + 1000)
    for size, taken in ((1000, True), (1001, False), (1_000_000, False)):
        data = archive_of((name, order), ("art.svg", b" " * size), ("other", b" " * 9_000_000))
        if taken:
            lay_out(tmp_path, [("all.zip", data)])
            assert laid_out(tmp_path) == [b" " * size]
        else:
            with pytest.raises(InputError, match="all.zip: what its order names is more than"):
                lay_out(tmp_path, [("all.zip", data)])
