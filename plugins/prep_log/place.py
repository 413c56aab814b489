"""Where the log lies, and whether that looks like a place where a file of its kind comes to harm."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path

import platformdirs

from prep.errors import InputError, SettingsError

_NETWORK = re.compile(r"(nfs|cifs|smb|afs|9p|ceph|fuse$|fuse\.)", re.IGNORECASE)
"""Beginnings of types of file systems that reach over a network, or to a program (``fuse``)."""
_SYNCED = re.compile(r"sync", re.IGNORECASE)
_CONFLICT = re.compile(r"conflict", re.IGNORECASE)
_MOUNTS = Path("/proc/mounts")


def usual_file() -> Path:
    """Give the file in the user's data folder. Nothing is made."""
    return platformdirs.user_data_path("firstpull", appauthor=False) / "log.sqlite"


def log_file(named: Path | None, own: Mapping[str, object]) -> Path:
    """Give the file of the log: as named on the command line, else by shop.toml, else the usual one.

    :param named: by ``--log``, seen from the current folder
    :param own: the table ``[log]`` of shop.toml
    :raises InputError: a folder is named
    :raises SettingsError: shop.toml names it by no whole path
    """
    if named is not None:
        file = Path(os.path.abspath(named.expanduser()))
    elif own.get("kept_in") is not None:
        file = Path(whole_path(str(own["kept_in"])))
    else:
        file = usual_file()
    if file.is_dir():
        raise InputError("is a folder", where=str(file), do="name the log's file in it")
    return file


def whole_path(text: str) -> str:
    """Read a path that means the same wherever the command runs: whole, or beginning with ``~``.

    :raises SettingsError: it means something else in each folder
    """
    path = os.path.expanduser(text.strip())
    if not os.path.isabs(path):
        raise SettingsError(
            f'log.kept_in = "{text}": means another file in each folder',
            where="shop.toml",
            do="write the whole path, or begin it with ~/",
        )
    return path


def warning(file: Path) -> str:
    """Say in one line why a file of its kind may come to harm where it lies; empty where nothing is seen.

    Looked at are the type of the file system (Linux: ``/proc/mounts``; Windows: a path that begins with a
    machine's name), extended attributes of the folders with "sync" in their names, hidden files or folders
    beside with "sync" in theirs (folders below the user's own, not that one itself), and copies of the log
    whose names speak of a conflict. A folder that shows none of these may be synced all the same.
    """
    why = _on_network(file) or _synced(file)
    if not why:
        return ""
    return (
        f"{file}: {why}; two machines that write a log in turn can damage it or lose entries: keep it in"
        " a folder of this machine (--log, or kept_in under [log] of shop.toml), copied by prep log export"
    )


def _on_network(file: Path) -> str:
    if sys.platform == "win32" and os.path.splitdrive(file)[0].startswith("\\\\"):
        return "lies on another machine"
    try:
        mounts = _MOUNTS.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""  # no such list here
    kind = file_system(mounts, os.path.realpath(file))
    return f"lies on a file system of type {kind}, over a network" if _NETWORK.match(kind) else ""


def file_system(mounts: str, path: str) -> str:
    """Give the type of the file system a path lies on.

    :param mounts: as in ``/proc/mounts``: device, folder, type ...; spaces are written ``\\040``
    :param path: without links
    """
    found, kind = "", ""
    for line in mounts.splitlines():
        parts = line.split(" ")
        if len(parts) < 3:
            continue
        folder = re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal[1], 8)), parts[1])
        inside = path == folder or path.startswith(folder.rstrip("/") + "/")
        if inside and len(folder) >= len(found):  # the later of two on one folder hides the other
            found, kind = folder, parts[2]
    return kind


def _synced(file: Path) -> str:
    home = Path.home()
    for folder in file.parents:
        if folder in (home, *home.parents):
            break
        hidden = (name for name in _names(folder) if name.startswith("."))
        for name in (*_attributes(folder), *hidden):
            if _SYNCED.search(name):
                return f"{folder} looks synced with another machine ({name} in it)"
    copies = (name for name in _names(file.parent) if name.startswith(file.stem))
    for name in copies:
        if _CONFLICT.search(name):
            return f"lies beside {name}, as folders synced with another machine leave it"
    return ""


def _names(folder: Path) -> Iterable[str]:
    try:
        return sorted(os.listdir(folder))
    except OSError:
        return ()


def _attributes(folder: Path) -> Iterable[str]:
    if sys.platform != "linux":
        return ()
    try:
        return sorted(os.listxattr(folder))
    except OSError:
        return ()
