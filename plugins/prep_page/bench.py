"""The work itself, done in a process of its own: it keeps what it remembers from one change to the next.

Everything of one order lies in a folder: the artworks, ``order.toml``, what was reckoned last
(``result.json`` with its ``pictures``), and the files made of it. Here they are written; whoever shows
the page only reads them. Each call finds itself in that folder (:mod:`prep_page.calls` sees to it), so
that messages name files without a path nobody chose.
"""

from __future__ import annotations

import contextlib
import io
import json
import shutil
import zipfile
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path, PurePosixPath
from typing import Any

from prep.errors import InputError, WorkStopped
from prep.hookspecs import SettingsTables
from prep.job import Job
from prep.line import Line, open_line
from prep.plugins import find_plugins
from prep.records import order_record
from prep.request import Request
from prep.sections import Section
from prep.settings import load_shop
from prep.views import Address
from prep_page.calls import LeftOut, Say
from prep_page.edits import Change, changed
from prep_page.filled import Typed
from prep_page.forms import groups_of, units_of
from prep_page.places import FILES, ORDER, PICTURES, RESULT, replace
from prep_page.sections_told import told
from prep_page.telling import in_order, measured, read, reported
from prep_page.usual_units import Units, lengths
from prep_page.viewing import Shelf, shown, taken

_LINES_KEPT = 3
_TELLINGS_KEPT = 3
"""The pictures of so many results of an order stay, the latest among them. Our choice."""
_ALL = "everything.zip"
Numbered = tuple[tuple[int, Change], ...]
"""Changes with their numbers among those asked for."""


class Bench:
    """What is remembered: one line for each of the orders worked on last."""

    def __init__(self) -> None:
        """Remember nothing yet."""
        self.lines: dict[Path, Line] = {}
        self.shelf = Shelf()
        self._shown: dict[Path, list[set[str]]] = {}

    def shows(self, folder: Path, pictures: set[str]) -> set[str]:
        """Note what an order shows from now on, and give pictures that nobody can be looking at any more.

        A window shows what was told before until it has fetched what is told now, and may only then come
        to a picture far down.
        """
        shown = self._shown.setdefault(folder, [])
        shown.append(pictures)
        gone: set[str] = set()
        while len(shown) > _TELLINGS_KEPT:
            gone |= shown.pop(0)
        return gone.difference(*shown)

    def put(self, folder: Path, line: Line) -> None:
        """Remember a line as the newest, and let the oldest go."""
        self.lines.pop(folder, None)
        self.lines[folder] = line
        for old in list(self.lines)[:-_LINES_KEPT]:
            self._end(old)

    def forget(self, folder: Path) -> None:
        """Let go of all that is remembered of an order."""
        self._end(folder)
        self._shown.pop(folder, None)

    def _end(self, folder: Path) -> None:
        """Let a line go, and end its workers."""
        line = self.lines.pop(folder, None)
        if line is not None:
            with line:
                pass


def reckon(
    bench: Bench,
    say: Say,
    *,
    folder: Path,
    shop: Path | None,
    changes: Sequence[Change] = (),
    shown: int = 0,
) -> tuple[LeftOut, ...]:
    """Make changes to an order and reckon it; what comes of it is written into its folder.

    Says ``("step", step, done, of)`` as it goes, and ``("part",)`` whenever ``result.json`` is newer.
    Where several changes can't be made together, they are tried one by one.

    :param shop: shop.toml that holds for it; ``None`` = a usual shop
    :param changes: of several, those that can't be made are left out
    :param shown: number of the set-up that is looked at; it comes first
    :return: each change that was left out, and what to say of it
    :raises prep.errors.PrepError: it can't be done; the order is as it was before
    """
    before = Path(ORDER).read_text("utf-8")
    units = _units_shown(folder) if changes else {}

    def opened(which: Numbered) -> Line:
        Path(ORDER).write_text(changed(before, [change for _, change in which], units), "utf-8")
        return _line(bench, say, folder, shop)

    def tried(which: Numbered) -> None:
        _work_out(opened(which), shown, None)

    def done(which: Numbered) -> None:
        writing = _Writing(folder, say)
        try:
            _work_out(opened(which), shown, writing)
        finally:  # what was told half is shown, too
            writing.clear_away(bench.shows(folder, writing.named))

    try:
        return _as_many_as_can_be(tuple(enumerate(changes)), opened, tried, done)
    except BaseException:
        Path(ORDER).write_text(before, "utf-8")
        raise


def _units_shown(folder: Path) -> dict[tuple[str | int, ...], Units]:
    """Give the units of the fields that are shown."""
    try:
        groups = json.loads((folder / RESULT).read_bytes())["groups"]
    except FileNotFoundError:
        return {}
    return units_of(field for group in groups for field in group["fields"])


def _as_many_as_can_be(
    changes: Numbered,
    opened: Callable[[Numbered], object],
    tried: Callable[[Numbered], object],
    done: Callable[[Numbered], object],
) -> tuple[LeftOut, ...]:
    """Make changes, and where that is refused those of them that can be made one after another.

    Each of the three raises InputError for changes that can't be made together, the later two finding
    what the one before can't.

    :param opened: reads the changed order, which is soon done
    :param tried: works it out
    :param done: works it out and shows it
    :return: each change that was left out, and what to say of it
    """
    try:
        done(changes)
        return ()
    except WorkStopped:
        raise  # each of them might take as long
    except InputError:
        if len(changes) < 2:
            raise
    good, refused = _sorted_out(changes, opened)
    if refused:
        try:
            done(good)
            return refused
        except WorkStopped:
            raise
        except InputError:
            if not good:
                raise
    good, more = _sorted_out(good, tried)
    done(good)
    return tuple(sorted((*refused, *more)))


def _sorted_out(
    changes: Numbered, made: Callable[[Numbered], object]
) -> tuple[Numbered, tuple[LeftOut, ...]]:
    """Make changes one by one, each with those that were good; give these, and what to say of others."""
    good: Numbered = ()
    refused: list[LeftOut] = []
    for number, change in changes:
        try:
            made((*good, (number, change)))
        except WorkStopped:
            raise
        except InputError as error:
            refused.append((number, error.lines()))
        else:
            good = (*good, (number, change))
    return good, tuple(refused)


def _work_out(line: Line, shown: int, writing: _Writing | None) -> None:
    """Work out all that is told of an order.

    :param writing: writes it where it is shown; ``None`` = it is only tried whether it can be done
    :raises prep.errors.PrepError: it can't
    """
    setups = line.setups
    first = min(shown, len(setups) - 1)
    jobs: dict[int, Job] = {}
    for setup in setups:
        line.hold_to_size(setup)
    if writing is not None and not writing.told_before:
        # measuring may take long: until then the picture tells that the right thing was read
        early = read(line.loaded, setups[first], *line.read(setups[first]), writing.keep)
        writing.tell(line, first, early)
    for number in (first, *(n for n in range(len(setups)) if n != first)):
        jobs[number] = line.job(setups[number])
        if writing is not None:
            writing.tell(line, number, measured(jobs[number], writing.keep))
        report = line.report(jobs[number])
        if writing is not None:
            writing.tell(line, number, reported(report, writing.keep))
    in_order = tuple(jobs[number] for number in sorted(jobs))
    over_all = line.order_sections(in_order) if len(jobs) > 1 else ()
    if writing is not None:
        writing.whole(line, over_all)


def warm(bench: Bench, say: Say, *, folder: Path, shop: Path | None) -> None:
    """Load all that is needed, and read the shop, before anybody waits for it.

    :raises prep.errors.PrepError: a plugin or the shop can't be used
    """
    del bench, say, folder
    plugins = find_plugins()
    if plugins.failures:
        raise plugins.failures[0]
    tables = dict(plugins.each("prep_settings", SettingsTables))
    if shop is not None:
        load_shop(shop, tables)


def forget(bench: Bench, say: Say, *, folder: Path) -> None:
    """Let go of all that is remembered of an order that lies open no more."""
    del say
    bench.forget(folder)


def make_files(bench: Bench, say: Say, *, folder: Path, shop: Path | None) -> None:
    """Make all files of an order: sheet, films, record, and an archive of everything.

    :raises prep.errors.PrepError: they can't be made
    """
    line = _line(bench, say, folder, shop)
    reports = line.reports()
    files = line.documents(reports, folder / FILES)
    record = order_record(reports, line.plugins)
    files["job.json"] = (json.dumps(record, indent=1, ensure_ascii=False) + "\n").encode()
    say(("step", "packing the files", 0, 0))
    new = folder / f"{FILES}.new"
    shutil.rmtree(new, ignore_errors=True)
    for name, data in files.items():
        path = new / PurePosixPath(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    (new / _ALL).write_bytes(_packed({**files, **_reopened(line)}))
    shutil.rmtree(folder / FILES, ignore_errors=True)
    new.rename(folder / FILES)
    say(("part",))


def show_of_order(
    bench: Bench,
    say: Say,
    *,
    folder: Path,
    shop: Path | None,
    beside: Path,
    name: str,
    address: Address,
) -> dict[str, Any]:
    """Tell a page of a view about an order; see :func:`prep_page.viewing.shown`.

    :param folder: the order's
    :param beside: folder of what is beside the orders
    """
    line = _line(bench, say, folder, shop)
    return shown(bench.shelf, name, address, shop=shop, line=line, folder=beside)


def take_of_order(
    bench: Bench,
    say: Say,
    *,
    folder: Path,
    shop: Path | None,
    beside: Path,
    name: str,
    address: Address,
    form: str,
    typed: Mapping[str, Typed],
    key: str,
) -> dict[str, Any]:
    """Take a form about an order; see :func:`prep_page.viewing.taken`."""
    line = _line(bench, say, folder, shop)
    return taken(
        bench.shelf, name, address, form, typed, shop=shop, line=line, folder=beside, key=key
    )


def _reopened(line: Line) -> dict[str, bytes]:
    """Give order.toml with the artworks and fonts that it names, so that it can be opened again."""
    order = line.loaded.order
    named = {*(one.artwork for one in order.print), *(one.file for one in order.font)}
    # all lie in one folder, the order's own
    text = line.loaded.in_force(folder=order.print[0].artwork.parent)
    return {ORDER: text.encode(), **{path.name: path.read_bytes() for path in named}}


def _packed(files: dict[str, bytes]) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in sorted(files.items()):
            # a fixed date, so that the same job gives the same bytes
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, data)
    return made.getvalue()


def _line(bench: Bench, say: Say, folder: Path, shop: Path | None) -> Line:
    known = bench.lines.get(folder)
    units = "metric" if known is None else known.loaded.shop.units

    def tell(step: str, done: int = 0, of: int = 0) -> None:
        say(("step", lengths(step, units), done, of))

    request = Request(Path(ORDER), shop=shop)
    line = open_line(request, tell=tell) if known is None else known.changed(request)
    units = line.loaded.shop.units
    line.tell = tell
    bench.put(folder, line)
    return line


def _groups(line: Line, told: Iterable[int]) -> list[dict[str, Any]]:
    """Give the forms; of prints whose artwork isn't told yet, with the colours that the order names."""
    colours: dict[int, list[str]] = {}
    for at in told:
        setup = line.setups[at]
        for number, printed in enumerate(line.loaded.order.print):
            if setup.place == printed.place and setup.artwork == printed.artwork:
                colours[number] = [one.colour for one in line.read(setup)[1]]
    tables = dict(line.plugins.each("prep_settings", SettingsTables))
    return groups_of(line.loaded, tables, colours)


class _Writing:
    """Writes what the page shows: the newest result, and the pictures it names.

    ``told_before``: something was shown when it began; ``named``: digests of pictures.
    """

    def __init__(self, folder: Path, say: Say) -> None:
        self._folder, self._say = folder, say
        self._pictures = folder / PICTURES
        self._pictures.mkdir(exist_ok=True)
        self.told_before = (folder / RESULT).is_file()
        self.named: set[str] = set()
        self._told: dict[int, dict[str, Any]] = {}

    def keep(self, digest: str, svg: str) -> None:
        self.named.add(digest)
        path = self._pictures / f"{digest}.svg"
        if not path.exists():
            replace(path, svg.encode())

    def tell(self, line: Line, number: int, setup: dict[str, Any]) -> None:
        """Show a set-up, with those that were told before."""
        self._told[number] = {"at": number, **setup}
        self._write(line, [], whole=False)

    def whole(self, line: Line, sections: Iterable[Section]) -> None:
        """Show all that there is."""
        self._write(line, [told(section, self.keep) for section in in_order(sections)], whole=True)

    def _write(self, line: Line, sections: list[dict[str, Any]], *, whole: bool) -> None:
        result = {
            "name": line.loaded.order.name,
            "whole": whole,
            "setups": [self._told[number] for number in sorted(self._told)],
            "sections": sections,
            "groups": _groups(line, self._told),
        }
        replace(self._folder / RESULT, json.dumps(result, ensure_ascii=False).encode())
        self._say(("part",))

    def clear_away(self, digests: Iterable[str]) -> None:
        """Remove pictures."""
        for digest in digests:
            with contextlib.suppress(OSError):
                (self._pictures / f"{digest}.svg").unlink()
