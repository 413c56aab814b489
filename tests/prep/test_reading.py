"""Files are read only when they are plain, and no further than they are allowed to be large."""

from __future__ import annotations

import builtins
import os
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError
from prep.order import Font
from prep.reading import load_artwork, load_fonts

MB = 2**20


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    """A terabyte of nothing, which no memory holds."""
    file = tmp_path / "boat.svg"
    with file.open("wb") as out:
        out.truncate(1024 * 1024 * MB)
    with pytest.raises(InputError, match="boat.svg: has 1048576 MB; at most 20 MB are read"):
        load_artwork(file)
    with pytest.raises(InputError, match="at most 40 MB are read; name another font file"):
        load_fonts([Font(family="Any", file=file)])


def test_a_file_that_grows_is_read_no_further_than_allowed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its size is looked at again after reading."""
    file = tmp_path / "boat.svg"
    file.write_bytes(b"<svg/>")
    opened = builtins.open

    def growing(*arguments: Any, **keywords: Any) -> Any:
        made = opened(*arguments, **keywords)
        seen = os.fstat(made.fileno())
        monkeypatch.setattr(os, "fstat", lambda _: seen)
        os.truncate(file, 30 * MB)
        return made

    monkeypatch.setattr(builtins, "open", growing)
    with pytest.raises(InputError, match="at most 20 MB"):
        load_artwork(file)


@pytest.mark.parametrize("kind", ["pipe", "device"])
def test_what_is_no_plain_file_is_refused(tmp_path: Path, kind: str) -> None:
    """Nobody waits for a writer, and no endless device is read."""
    path = Path("/dev/zero") if kind == "device" else tmp_path / "pipe.svg"
    if kind == "pipe":
        os.mkfifo(path)
    with pytest.raises(InputError, match="is a pipe or device"):
        load_artwork(path)


def test_a_folder_is_named_as_one(tmp_path: Path) -> None:
    """A folder opens as a file does, but isn't one."""
    with pytest.raises(InputError, match="is a folder; give the SVG file in it"):
        load_artwork(tmp_path)


def test_a_file_of_just_the_size_allowed_is_read(tmp_path: Path) -> None:
    """20 MB are."""
    file = tmp_path / "boat.svg"
    file.write_bytes(bytes(20 * MB))
    assert len(load_artwork(file)) == 20 * MB
