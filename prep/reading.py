"""The first two steps, as one function that the guard's worker can run."""

from __future__ import annotations

from pathlib import Path

from prep.artwork import Artwork, PrintSize
from prep.errors import InputError
from prep.separations import Separation, separate
from prep.svg import read_svg


def load_artwork(path: Path) -> bytes:
    """Read an artwork file.

    :raises InputError: missing, a folder, unreadable or empty
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise InputError("is not there", where=str(path), do="check the name") from None
    except IsADirectoryError:
        raise InputError("is a folder", where=str(path), do="give the SVG file in it") from None
    except OSError as error:
        raise InputError(
            f"can't be read: {error.strerror or error}", where=str(path), do="check its permissions"
        ) from error
    if not data:
        raise InputError("is empty", where=str(path), do="export it again")
    return data


def read_and_separate(
    data: bytes, name: str, size: PrintSize
) -> tuple[Artwork, tuple[Separation, ...]]:
    """Read a drawing and give what shows of each colour.

    :param name: file name, for messages
    :raises prep.errors.InputError: it can't be read faithfully
    """
    artwork = read_svg(data, name=name, size=size)
    return artwork, separate(artwork)
