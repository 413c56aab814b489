"""The first two steps, as one function that the guard's worker can run."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from prep.artwork import Artwork, PrintSize
from prep.errors import InputError
from prep.separations import Separation, separate
from prep.svg import FontFile, ReadingOptions, read_svg

if TYPE_CHECKING:
    from prep.order import Font

_AS_IT_IS = ReadingOptions()
_AGAIN = {"SVG": "export it again", "font": "copy it again"}


def load_artwork(path: Path) -> bytes:
    """Read an artwork file.

    :raises InputError: missing, a folder, unreadable or empty
    """
    return _content(path, "SVG")


def load_fonts(fonts: Iterable[Font]) -> tuple[FontFile, ...]:
    """Read the font files an order names.

    :raises InputError: missing, a folder, unreadable or empty
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


def _content(path: Path, kind: str) -> bytes:
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise InputError("is not there", where=str(path), do="check the name") from None
    except IsADirectoryError:
        raise InputError("is a folder", where=str(path), do=f"give the {kind} file in it") from None
    except OSError as error:
        raise InputError(
            f"can't be read: {error.strerror or error}", where=str(path), do="check its permissions"
        ) from error
    if not data:
        raise InputError("is empty", where=str(path), do=_AGAIN[kind])
    return data


def read_and_separate(
    data: bytes, name: str, size: PrintSize, options: ReadingOptions = _AS_IT_IS
) -> tuple[Artwork, tuple[Separation, ...]]:
    """Read a drawing and give what shows of each colour.

    :param name: file name, for messages
    :raises prep.errors.InputError: it can't be read faithfully
    """
    artwork = read_svg(data, name=name, size=size, options=options)
    return artwork, separate(artwork)
