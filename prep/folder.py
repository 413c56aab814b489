"""The job folder: written aside, then put in place at one stroke; repaired at every start.

    X.new-<id>   being written; its job.json is written last
    X            the job
    X.old-<id>   the job before, for the moment between two renames

A kill at any moment leaves the old job or the new one, and the next start tidies up.
"""

from __future__ import annotations

import contextlib
import hashlib
import itertools
import json
import os
import re
import shutil
import tempfile
import uuid
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path, PurePosixPath

from filelock import FileLock, Timeout

from prep.errors import OurFault, OutputError

RECORD = "job.json"
_WAIT_S = 10.0


def write_folder(
    folder: Path,
    files: Mapping[str, bytes],
    record: Mapping[str, object],
    *,
    option: str = "--out",
) -> None:
    """Write a job folder, replacing the job that was there.

    Files she put into the folder are carried over; files of ours that she changed are kept beside
    the new ones as ``edited-NAME``.

    :param files: path inside the folder with forward slashes -> bytes
    :param record: content of job.json, to which the list of files is added
    :param option: names the folder on the command line, for what to do
    :raises OutputError: the folder isn't ours, or can't be written
    """
    folder = folder.resolve()  # a link stands for what it names
    _check_names(files)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with _alone(folder):
            _repair(folder)
            before = _record_of(folder, record.get("name"), option) if folder.exists() else None
            new = folder.with_name(f"{folder.name}.new-{uuid.uuid4().hex[:8]}")
            try:
                _fill(new, files, record, folder, before)
                _put_in_place(new, folder)
            except BaseException:
                shutil.rmtree(new, ignore_errors=True)
                raise
    except OSError as error:
        raise OutputError(
            f"can't be written: {error.strerror or error}",
            where=str(folder),
            do=f"choose another folder with {option}",
        ) from error


def repair_folder(folder: Path, *, option: str = "--out") -> None:
    """Tidy up what a crash left beside a job folder: the old job or the new one stays.

    :param option: names the folder on the command line, for what to do
    :raises OutputError: the folder's surroundings can't be written
    """
    folder = folder.resolve()  # a link stands for what it names
    if not folder.parent.is_dir():
        return
    try:
        with _alone(folder):
            _repair(folder)
    except OSError as error:
        raise OutputError(
            f"can't be tidied up: {error.strerror or error}",
            where=str(folder),
            do=f"choose another folder with {option}",
        ) from error


@contextlib.contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Hold the folder against a second run; the lock lies in the temporary folder, not beside it."""
    name = hashlib.sha256(str(folder).encode()).hexdigest()[:16]
    lock = FileLock(Path(tempfile.gettempdir()) / f"firstpull-{name}.lock", timeout=_WAIT_S)
    try:
        with lock:
            yield
    except Timeout as error:
        raise OutputError(
            "is being written by another run", where=str(folder), do="wait for it to end"
        ) from error


def _repair(folder: Path) -> None:
    news, olds = _left_over(folder, "new"), _left_over(folder, "old")
    if not folder.exists():
        whole = [f for f in (*news, *olds) if (f / RECORD).is_file()]
        if whole:
            whole[0].rename(folder)
    for left in (*news, *olds):
        if left.exists():
            shutil.rmtree(left)


def _left_over(folder: Path, kind: str) -> list[Path]:
    ours = re.compile(rf"{re.escape(folder.name)}\.{kind}-[0-9a-f]{{8}}")
    return sorted(p for p in folder.parent.iterdir() if ours.fullmatch(p.name) and p.is_dir())


def _record_of(folder: Path, name: object, option: str) -> dict[str, str]:
    """Give name -> digest of the files a former run wrote.

    :raises OutputError: not a folder, not one of ours, or one of a job with another name
    """
    if not folder.is_dir():
        raise OutputError(
            "is a file, not a folder", where=str(folder), do=f"choose another with {option}"
        )
    if not any(folder.iterdir()):
        return {}
    try:
        read = json.loads((folder / RECORD).read_text(encoding="utf-8"))
        files = {str(f["name"]): str(f["sha256"]) for f in read["files"]}
        held = read.get("name")
    except (FileNotFoundError, ValueError, KeyError, TypeError) as error:
        raise OutputError(
            f"holds no {RECORD} of ours, so it is not overwritten",
            where=str(folder),
            do=f"choose another folder with {option}, or remove it yourself",
        ) from error
    if held != name:
        raise OutputError(
            f'holds the job "{held}", not "{name}"',
            where=str(folder),
            do=f"choose another folder with {option}, or remove it yourself",
        )
    return files


def _fill(
    new: Path,
    files: Mapping[str, bytes],
    record: Mapping[str, object],
    folder: Path,
    before: Mapping[str, str] | None,
) -> None:
    new.mkdir()
    for name, data in files.items():
        _write(new / name, data)
    if before is not None:
        _carry_over(folder, new, before)
    listed = [
        {"name": name, "sha256": hashlib.sha256(data).hexdigest()}
        for name, data in sorted(files.items())
    ]
    text = json.dumps({**record, "files": listed}, indent=1, ensure_ascii=False) + "\n"
    _write(new / RECORD, text.encode())
    for inside in (*sorted(p for p in new.rglob("*") if p.is_dir()), new):
        _sync(inside)


def _carry_over(folder: Path, new: Path, before: Mapping[str, str]) -> None:
    for source in sorted(p for p in folder.rglob("*") if p.is_file() or p.is_symlink()):
        name = source.relative_to(folder).as_posix()
        if name == RECORD:
            continue
        known = before.get(name)
        if known is not None and _digest(source) == known:
            continue  # ours, as we wrote it
        target = new / name
        if known is not None or target.exists():
            target = _free(target.with_name(f"edited-{target.name}"))
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(source, target, follow_symlinks=False)
    for source in sorted(p for p in folder.rglob("*") if p.is_dir() and not p.is_symlink()):
        if not any(source.iterdir()):
            (new / source.relative_to(folder)).mkdir(parents=True, exist_ok=True)


def _free(target: Path) -> Path:
    choices = (target.with_name(f"{target.stem} ({n}){target.suffix}") for n in itertools.count(2))
    return next(path for path in itertools.chain((target,), choices) if not path.exists())


def _put_in_place(new: Path, folder: Path) -> None:
    if not folder.exists():
        new.rename(folder)
        _sync(folder.parent)
        return
    old = folder.with_name(
        folder.name + new.name.removeprefix(folder.name).replace(".new-", ".old-")
    )
    folder.rename(old)
    try:
        new.rename(folder)
    except BaseException:
        old.rename(folder)
        raise
    _sync(folder.parent)
    shutil.rmtree(old)


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _sync(folder: Path) -> None:
    if os.name != "posix":  # Windows can't open a folder; NTFS journals renames itself
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _check_names(names: Iterable[str]) -> None:
    """Check that names stay inside the folder and differ, also where case is ignored.

    :raises OurFault: one doesn't
    """
    seen: set[str] = set()
    for name in names:
        parts = PurePosixPath(name).parts
        if not parts or name.startswith("/") or "\\" in name or ".." in parts or name == RECORD:
            raise OurFault(f"{name!r} is no name for a file of the job folder")
        if name.casefold() in seen:
            raise OurFault(f"two files of the job folder are called {name!r}")
        seen.add(name.casefold())
