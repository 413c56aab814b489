"""A reorder from the log: the order as it was in force, and what becomes of stencils that were kept."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit

from prep.errors import InputError, OutputError
from prep_log.entries import LASTS, Run, ScreenOfRun
from prep_log.understood import check_order

ORDER = "order.toml"


@dataclass(frozen=True, slots=True)
class KeptStencil:
    """A stencil of a run, should it still be on its mesh.

    :param stencil: name of its files
    :param pulls: through it since it was cut, as predicted for each run; a film that several screens share
        counts all of theirs
    :param next_pulls: what the same run asks of it again
    :param lasts: pulls that such a stencil lasts; ``None`` where nobody said
    """

    stencil: str
    runs: int
    pulls: int
    next_pulls: int
    lasts: float | None

    @property
    def in_words(self) -> str:
        """What to do with it, a line."""
        said = (
            f"{self.stencil}: {self.pulls} pulls in {self.runs} run{'' if self.runs == 1 else 's'}"
        )
        if self.lasts is None:
            return f"{said}; how long it lasts isn't known: look at its edges and islands before using it"
        after = self.pulls + self.next_pulls
        if after <= self.lasts:
            do = "use it again if it is still on its mesh and its edges hold"
        else:
            do = "cut it anew"
        return f"{said}, {after} after as many again; it lasts {self.lasts:.0f}: {do}"


def kept_stencils(run: Run, runs: Iterable[Run]) -> tuple[KeptStencil, ...]:
    """Count the pulls through each stencil of a run since it was cut.

    A stencil is known by the name of its files and by what is open in it. It was cut for the latest run
    that wasn't told to have kept it.

    :param runs: all there are, this one among them, the latest first
    """
    runs = tuple(runs)
    lasts = {f.setup: f.value for f in run.figures if f.quantity == LASTS}
    found = []
    for setup in run.setups:
        for stencil in dict.fromkeys(s.stencil for s in setup.screens if s.stencil):
            own = [s for s in setup.screens if s.stencil == stencil]
            total, count = 0, 0
            for other in runs:
                through = [s for s in other.screens if (s.stencil, s.cut) == (stencil, own[0].cut)]
                if through:
                    total, count = total + _pulls(through), count + 1
                    if not through[0].kept:
                        break
            found.append(KeptStencil(stencil, count, total, _pulls(own), lasts.get(setup.key)))
    return tuple(found)


def _pulls(screens: Iterable[ScreenOfRun]) -> int:
    return sum(screen.pulls or 0 for screen in screens)


def write_again(run: Run, number: int, folder: Path, *, changed: bool = False) -> tuple[str, ...]:
    """Write order.toml of a run into a new or empty folder, and its artworks and fonts beside it.

    Figures that came from readings aren't written, so that the latest readings hold; nor is where the log
    lay, which is the shop's to say.

    :param changed: a drawing that was changed since is taken as it is now
    :return: what is to be done before it can be printed, lines
    :raises OutputError: the folder holds something, or can't be written
    :raises InputError: the order can't be read, or a file can't be copied
    """
    try:
        check_order(run.order, [setup.artwork for setup in run.setups])
    except ValueError as error:
        raise InputError(f"run {number}: {error}", do="write its order by hand") from error
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            raise OutputError(
                "isn't empty", where=str(folder), do="choose another folder with --out"
            )
        document, todo = _document(run, number, folder, changed)
        (folder / ORDER).write_text(tomlkit.dumps(document), encoding="utf-8", newline="\n")
    except OSError as error:
        what = f"can't be written: {error.strerror or error}"
        raise OutputError(what, where=str(folder), do="choose another folder with --out") from error
    return todo


def _document(
    run: Run, number: int, folder: Path, changed: bool
) -> tuple[tomlkit.TOMLDocument, tuple[str, ...]]:
    written = tomlkit.parse(run.order)
    # a list's entries before those behind them are gone
    for path in sorted(run.learnt, key=lambda path: [str(part) for part in path], reverse=True):
        _take_out(written, path)
    _take_out(written, ("shop", "log", "kept_in"))
    todo: list[str] = []
    artworks = {setup.artwork: setup.sha256 for setup in run.setups}
    names: dict[str, str] = {}
    for printed in written["print"]:
        artwork = str(printed["artwork"])
        if artwork not in names:
            names[artwork] = _free(Path(artwork).name, names.values())
            sha256 = None if changed else artworks[artwork]
            todo += _copied(Path(artwork), sha256, folder / names[artwork])
        printed["artwork"] = names[artwork]
    for font in written.get("font", ()):
        file = str(font["file"])
        if file not in names:
            names[file] = _free(Path(file).name, names.values())
            todo += _copied(Path(file), None, folder / names[file], "the font")
        font["file"] = names[file]
    made = tomlkit.document()
    for line in (
        f"Run {number} of {run.day.isoformat()} again: {run.name}.",
        "To be changed where this order differs: name, and how many of which sizes under [[garment]].",
        "All else is as it was in force then, [shop] too; what was measured since holds.",
    ):
        made.add(tomlkit.comment(line))
    for key, value in written.body:
        if key is not None:
            made.add(key, value)
    return made, tuple(todo)


def _take_out(document: Any, path: Sequence[str | int]) -> None:
    """Take a value out, and tables that are empty then."""
    holders = [document]
    for part in path[:-1]:
        inner = holders[-1]
        there = part < len(inner) if isinstance(part, int) else part in inner
        if not there:
            return
        holders.append(inner[part])
    for holder, part in zip(reversed(holders), reversed(path), strict=True):
        if isinstance(part, int) and not isinstance(holder, dict):
            return  # an entry of a list stays, others are counted by it
        if part in holder:
            del holder[part]
        if len(holder) > 0:
            return


def _free(name: str, taken: Iterable[str]) -> str:
    """Give a name for an artwork in the folder that no other has, case aside."""
    used = {other.casefold() for other in (ORDER, *taken)}
    file = Path(name)
    tried, count = name, 1
    while tried.casefold() in used:
        count += 1
        tried = f"{file.stem} ({count}){file.suffix}"
    return tried


def _copied(
    artwork: Path, sha256: str | None, to: Path, what: str = "the drawing"
) -> Iterator[str]:
    """Copy an artwork or a font that is as it was; else say what to do.

    :param sha256: as it was; ``None`` = however it is
    """
    put = f"put {what} of that run into the folder as {to.name}"
    try:
        data = artwork.read_bytes()
    except OSError:
        yield f"{artwork}: isn't there any more; {put}"
        return
    if sha256 not in (None, hashlib.sha256(data).hexdigest()):
        yield f"{artwork}: was changed since; {put}, or the changed one if that is wanted"
        return
    try:
        to.write_bytes(data)
    except OSError as error:
        raise InputError(
            f"can't be copied: {error.strerror or error}", where=str(artwork), do=put
        ) from error
