"""An order that comes as a ZIP archive, like the one that the page makes: only what it names is read.

Whoever made the archive is unknown. Nothing is unpacked to where the archive says; what it holds is read
by name, with a limit on how much, and names in it are only compared.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterable

from prep.errors import InputError
from prep_page.places import ORDER

_MOST_BYTES = 20_000_000
"""Of all that is read; as much as may be dropped."""
_LARGEST_LIST = 1_000_000
"""Bytes of the archive's list of contents, some ten thousand names. Our choice."""
_END = struct.Struct("<4s4H2LH")
"""The end of an archive: signature, four counts, size of the list, where it is, length of a remark."""
_END_SIGNATURE, _LONG_SIGNATURE, _LONG_BYTES = b"PK\x05\x06", b"PK\x06\x07", 20
_WAYS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_UNZIP = "unzip it, and drop the order.toml with the artworks and fonts it names"


def files_in(
    name: str, data: bytes, named: Callable[[bytes], Iterable[str]]
) -> list[tuple[str, bytes]]:
    """Read an order.toml and the files beside it that it names.

    :param name: of the archive, for messages
    :param named: gives the bare names of the files that an order.toml names
    :return: (bare name, content), the order.toml first; a file that isn't there is left to be missed
    :raises InputError: no archive that can be read so, no order.toml in it or several, or too much
    """
    try:
        return _read(name, data, named)
    except (
        zipfile.BadZipFile,
        zlib.error,
        struct.error,
        EOFError,
        OSError,
        RuntimeError,
        ValueError,
    ) as error:
        raise InputError(f"can't be unpacked: {error}", where=name, do=_UNZIP) from error


def _read(
    name: str, data: bytes, named: Callable[[bytes], Iterable[str]]
) -> list[tuple[str, bytes]]:
    if not _is_plain(data):
        raise InputError("is no archive that can be read here", where=name, do=_UNZIP)
    left = _MOST_BYTES
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = archive.infolist()

        def content(path: str) -> bytes | None:
            nonlocal left
            found = [one for one in entries if one.filename == path]
            if not found:
                return None
            if len(found) > 1:
                raise InputError(f"holds {path} twice", where=name, do=_UNZIP)
            if found[0].compress_type not in _WAYS or found[0].flag_bits & 1:
                raise InputError(
                    f"holds {path} encrypted or packed in an unusual way", where=name, do=_UNZIP
                )
            # what it says of its own size is not believed
            with archive.open(found[0]) as packed:
                unpacked = packed.read(left + 1)
            left -= len(unpacked)
            if left < 0:
                raise InputError(
                    f"what its order names is more than {_MOST_BYTES / 1e6:.0f} MB",
                    where=name,
                    do="simplify the drawing",
                )
            return unpacked

        folder = _folder_of_order(name, [one.filename for one in entries])
        order = content(folder + ORDER)
        assert order is not None  # it was found by its name
        files = [(ORDER, order)]
        for base in dict.fromkeys(named(order)):
            beside = content(folder + base)
            if beside is not None:
                files.append((base, beside))
    return files


def _is_plain(data: bytes) -> bool:
    """Say whether an archive ends as plain ones do, with a list of contents that isn't too long."""
    end = data[-_END.size :]
    if len(end) < _END.size or data[-_END.size - _LONG_BYTES :][:4] == _LONG_SIGNATURE:
        return False
    signature: bytes
    length: int
    remark: int
    signature, _, _, _, _, length, _, remark = _END.unpack(end)
    return signature == _END_SIGNATURE and remark == 0 and length <= _LARGEST_LIST


def _folder_of_order(name: str, paths: Iterable[str]) -> str:
    """Give the folder in the archive that the order of it lies in: the outermost that has one.

    :return: "" or with a slash at its end
    """
    orders = [path for path in paths if path == ORDER or path.endswith(f"/{ORDER}")]
    if not orders:
        raise InputError(f"holds no {ORDER}", where=name, do=_UNZIP)
    depth = min(path.count("/") for path in orders)
    outermost = [path for path in orders if path.count("/") == depth]
    if len(outermost) > 1:
        raise InputError(f"holds {len(outermost)} orders side by side", where=name, do=_UNZIP)
    return outermost[0].removesuffix(ORDER)
