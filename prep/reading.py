"""The first two steps, as one function that the guard's worker can run."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from shapely import MultiPolygon

from prep.artwork import Artwork, PrintSize
from prep.errors import ArtworkRefused, InputError
from prep.separations import Separation, separate
from prep.solid_count import with_screens_of_tints
from prep.svg import FontFile, ReadingOptions, limits, read_svg
from prep.svg.fonts import LARGEST_FONT

if TYPE_CHECKING:
    from prep.order import Font
    from prep.svg.proof_differences import Difference

_AS_IT_IS = ReadingOptions()
_AGAIN = {"SVG": "export it again", "font": "copy it again"}
_LARGEST = {"SVG": limits.FILE_BYTES, "font": LARGEST_FONT}
_SMALLER = {"SVG": "simplify the drawing", "font": "name another font file"}


def load_artwork(path: Path) -> bytes:
    """Read an artwork file.

    :raises InputError: missing, no plain file, unreadable, empty or too large
    """
    return _content(path, "SVG")


def load_fonts(fonts: Iterable[Font]) -> tuple[FontFile, ...]:
    """Read the font files an order names.

    :raises InputError: missing, no plain file, unreadable, empty or too large
    """
    return tuple(
        FontFile(
            family=font.family,
            weight=font.weight,
            style=font.style,
            data=_content(font.file, "font"),
            name=font.file.name,
        )
        for font in fonts
    )


def _without_waiting(path: str, flags: int) -> int:
    """Open a pipe, too, without waiting for someone who writes into it."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def _content(path: Path, kind: str) -> bytes:
    most = _LARGEST[kind]
    try:
        with open(path, "rb", opener=_without_waiting) as file:
            about = os.fstat(file.fileno())
            if not stat.S_ISREG(about.st_mode):
                raise InputError(
                    "is a pipe or device, no plain file",
                    where=str(path),
                    do=f"save the {kind} as a file and give that",
                )
            size = about.st_size
            data = b"" if size > most else file.read(most + 1)
    except FileNotFoundError:
        raise InputError("is not there", where=str(path), do="check the name") from None
    except IsADirectoryError:
        raise InputError("is a folder", where=str(path), do=f"give the {kind} file in it") from None
    except OSError as error:
        raise InputError(
            f"can't be read: {error.strerror or error}", where=str(path), do="check its permissions"
        ) from error
    size = max(size, len(data))  # it may have grown
    if size > most:
        raise InputError(
            f"has {size / 2**20:.0f} MB; at most {most // 2**20} MB are read",
            where=str(path),
            do=_SMALLER[kind],
        )
    if not data:
        raise InputError("is empty", where=str(path), do=_AGAIN[kind])
    return data


def read_and_separate(
    data: bytes,
    name: str,
    size: PrintSize,
    options: ReadingOptions = _AS_IT_IS,
    garment: str = "#ffffff",
) -> tuple[Artwork, tuple[Separation, ...]]:
    """Read a drawing and give what shows of each colour.

    :param name: file name, for messages
    :param garment: colour of the garment for which a refusal counts the screens of tints made solid
    :raises prep.errors.InputError: it can't be read faithfully
    """
    try:
        artwork = read_svg(data, name=name, size=size, options=options)
    except ArtworkRefused as refused:
        raise with_screens_of_tints(refused, data, name, size, options, garment) from None
    return artwork, separate(artwork)


def compare_with_drawing(
    data: bytes,
    artwork: Artwork,
    visible: Sequence[tuple[str, MultiPolygon]],
    options: ReadingOptions = _AS_IT_IS,
) -> tuple[tuple[Difference, ...], bytes]:
    """Compare what was read with what an independent renderer draws.

    :param artwork: its name and size count, not its shapes
    :param visible: colour and region of what shows
    :param options: what it was read with
    :return: the differences, largest first, and a picture (PNG) of both when there are any
    :raises prep.errors.InputError: the renderer refuses the file
    """
    from prep.svg.proof import proof
    from prep.svg.proof_picture import side_by_side

    made = proof(data, artwork, visible, ground=options.solid_tints_on, fonts=options.fonts)
    picture = side_by_side(made, artwork.width_mm) if made.differences else b""
    return made.differences, picture


def without_shapes(artwork: Artwork) -> Artwork:
    """Give an artwork's name and size alone, which are quick to hand over."""
    return replace(artwork, shapes=())
