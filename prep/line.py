"""The whole line on one page: from a request to reports and a job folder.

    artwork file ─read─▶ Artwork ─separate─▶ Separations ─design─▶ DesignRegions ─make ready─▶ Screens
        ─▶ marks ─▶ findings ─▶ sections ─▶ documents ─▶ job folder

One direction, no way back. Each step can be called alone; commands and the page are thin callers.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import as_completed
from contextlib import contextmanager
from functools import cached_property, partial
from pathlib import Path
from types import TracebackType
from typing import TypeVar

import shapely
from shapely import MultiPolygon

from prep.abreast import abreast, processors
from prep.artwork import Artwork, PrintSize, blank_margins
from prep.console import Tell, silent
from prep.digest import digest_of
from prep.errors import OurFault, PluginFailed, SettingsError, Unanswered, WorkStopped
from prep.findings import Finding, worst_first
from prep.folder import write_folder
from prep.geometry_faults import place
from prep.guard import Guard
from prep.hookspecs import SettingsTables
from prep.job import Ask, Job, Report
from prep.kept import kept_on_fault
from prep.loaded import named_by_file
from prep.make_ready import colour_screens, design_of, make_ready
from prep.measures import Limits, Measures, measure
from prep.misread import misread
from prep.order import ColourChoice, SetUp
from prep.oversize import oversize
from prep.palette import Palette, decide, recoloured, with_screens
from prep.plugins import Plugins, find_plugins
from prep.reading import (
    compare_with_drawing,
    load_artwork,
    load_fonts,
    read_and_separate,
    without_shapes,
)
from prep.records import order_record, setup_record
from prep.request import Request
from prep.screens import DesignRegion, Mark
from prep.sections import Document, Paragraph, Section
from prep.separations import Separation, separate
from prep.session import Session
from prep.settings import Loaded, load
from prep.svg import FontFile, ReadingOptions
from prep.svg.reader import size_mm

T = TypeVar("T")
K = TypeVar("K")
_Reading = tuple[Path, PrintSize, str | None]
"""What a reading depends on: the file, the size asked for, the colour that tints are made solid on."""

_READ_KEPT, _MEASURED_KEPT = 16, 256
"""Readings and measures that a changed order takes over, the latest."""
_WORTH_A_WORKER = 10_000
"""Points of regions to be measured from which on a second worker is worth its start. Our choice."""


def open_line(request: Request, *, plugins: Plugins | None = None, tell: Tell = silent) -> Line:
    """Read order, shop and command line, and stand ready to work.

    :param plugins: default: all that are installed, but for ``request.without``
    :raises prep.errors.InputError: settings that can't be used
    :raises PluginFailed: a plugin can't be imported and wasn't left out
    """
    plugins = plugins if plugins is not None else find_plugins(request.without)
    if plugins.failures:
        raise plugins.failures[0]
    tables = dict(plugins.each("prep_settings", SettingsTables))
    return Line(load(request, tables, plugins.learn), plugins, tell)


class Line:
    """An order on its way. Use as a context manager: it holds worker processes."""

    def __init__(self, loaded: Loaded, plugins: Plugins, tell: Tell = silent) -> None:
        """Make the line ready; nothing is read yet."""
        self.loaded, self.plugins, self.tell = loaded, plugins, tell
        self.session = Session(plugins)
        work = loaded.shop.work
        self._guard = Guard(seconds=work.time_s, memory_mb=work.memory_mb)
        self._beside = Guard(seconds=work.time_s, memory_mb=work.memory_mb)
        self._read: dict[_Reading, tuple[Artwork, tuple[Separation, ...]]] = {}
        self._proofed: set[_Reading] = set()
        self._joined: dict[str, tuple[Separation, ...]] = {}
        self._measured: dict[str, Measures] = {}
        self._jobs: dict[str, Job] = {}

    def changed(self, request: Request) -> Line:
        """Read a changed order and stand ready with all that this line remembers.

        What depends on nothing that changed isn't reckoned again. Artworks are known by their paths:
        a file of the same name isn't looked at again. This line, which shares its worker, is not to be
        used any more.

        :raises ValueError: other plugins are left out; open a line for these
        :raises prep.errors.InputError: settings that can't be used; this line can still be used then
        """
        if tuple(sorted(set(request.without))) != self.plugins.without:
            raise ValueError("a line keeps its plugins")
        tables = dict(self.plugins.each("prep_settings", SettingsTables))
        line = Line(load(request, tables, self.plugins.learn), self.plugins, self.tell)
        line.session = self.session
        line._measured = _latest(self._measured, _MEASURED_KEPT)
        if line.loaded.order.font == self.loaded.order.font:
            line._read = _latest(self._read, _READ_KEPT)
            line._joined = _latest(self._joined, _READ_KEPT)
            line._proofed = self._proofed & line._read.keys()
        if line.loaded.shop.work == self.loaded.shop.work:
            line._guard, line._beside = self._guard, self._beside
        else:
            self._guard.close()
            self._beside.close()
        return line

    def __enter__(self) -> Line:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._guard.close()
        self._beside.close()

    @property
    def setups(self) -> tuple[SetUp, ...]:
        """The set-ups of the order."""
        return self.loaded.setups

    @cached_property
    def _fonts(self) -> tuple[FontFile, ...]:
        return load_fonts(self.loaded.order.font)

    def hold_to_size(self, setup: SetUp) -> None:
        """Refuse a print far larger than all that the shop has, before its shapes are read or measured.

        :raises SettingsError: it is; see :func:`prep.oversize.oversize`
        """
        key = setup.artwork, setup.size, setup.solid_tints_on
        if key in self._read:
            artwork = self._read[key][0]
            size = artwork.width_mm, artwork.height_mm
        else:
            data = load_artwork(setup.artwork)
            size = self._guard.run(size_mm, data, setup.artwork.name, setup.size)
        found = oversize(*size, self.loaded.shop)
        if found is not None:
            raise self.loaded.size_refused(setup, found.what, found.do)

    def read(self, setup: SetUp) -> tuple[Artwork, tuple[Separation, ...]]:
        """Read, separate and proof a set-up's artwork, once for each file, size and ground of tints.

        :raises prep.errors.ArtworkRefused: it can't be read as drawn, or wasn't
        """
        key = setup.artwork, setup.size, setup.solid_tints_on
        proofing = self.loaded.order.proof and key not in self._proofed
        if key in self._read and not proofing:
            return self._read[key]
        data = load_artwork(setup.artwork)
        options = ReadingOptions(solid_tints_on=setup.solid_tints_on, fonts=self._fonts)
        if key not in self._read:
            self.tell(f"reading {setup.artwork.name}")
            with kept_on_fault(setup.artwork):
                self._read[key] = self._guard.run(
                    read_and_separate,
                    data,
                    setup.artwork.name,
                    setup.size,
                    options,
                    setup.batches[0].colour,
                )
        if proofing:
            self._proof(setup.artwork, data, *self._read[key], options)
            self._proofed.add(key)
        return self._read[key]

    def _proof(
        self,
        drawing: Path,
        data: bytes,
        artwork: Artwork,
        painted: Sequence[Separation],
        options: ReadingOptions,
    ) -> None:
        """Refuse an artwork that doesn't look as it was read."""
        self.tell(f"comparing with {artwork.name}")
        visible = [(one.colour, one.region) for one in painted]
        try:
            with kept_on_fault(drawing):
                differences, picture = self._guard.run(
                    compare_with_drawing, data, without_shapes(artwork), visible, options
                )
        except WorkStopped as error:
            raise WorkStopped(
                f"comparing it with what was read {error.what}",
                where=artwork.name,
                do="simplify the drawing, or go on without this comparison: --no-proof",
            ) from error
        if differences:
            raise misread(artwork.name, differences, picture)

    @property
    def _unproofed(self) -> tuple[str, ...]:
        if self.loaded.order.proof:
            return ()
        return ("Not proofed: what was read was not compared with the drawing.",)

    def measure_all(self, drawing: Path, regions: Sequence[MultiPolygon]) -> list[Measures]:
        """Measure regions in the worker, each only once; in two side by side where these are large.

        :param drawing: that they come from, kept if measuring fails
        """
        keys = [digest_of(region) for region in regions]
        new = {
            key: region
            for key, region in zip(keys, regions, strict=True)
            if key not in self._measured
        }
        points = int(shapely.get_num_coordinates(list(new.values())).sum())
        if len(new) > 1 and points >= _WORTH_A_WORKER and processors() > 1:
            self._measure_abreast(drawing, new)
        for number, (key, region) in enumerate(zip(keys, regions, strict=True), start=1):
            if key not in self._measured:
                self.tell("measuring", number, len(regions))
                with kept_on_fault(drawing), self._named_on_fault(key, region):
                    self._measured[key] = self._guard.run(measure, region, Limits())
        return [self._measured[key] for key in keys]

    def _measure_abreast(self, drawing: Path, regions: Mapping[str, MultiPolygon]) -> None:
        """Measure regions in two workers, of which the second ends with that.

        :param regions: digest -> region
        """
        self.tell("measuring", 1, len(regions))
        # the largest first, so that none of the workers is left with it at the end
        largest_first = sorted(regions, key=lambda key: -shapely.get_num_coordinates(regions[key]))
        try:
            with abreast([self._guard, self._beside]) as submit:
                begun = {submit(measure, regions[key], Limits()): key for key in largest_first}
                for done, future in enumerate(as_completed(begun), start=1):
                    key = begun[future]
                    with kept_on_fault(drawing), self._named_on_fault(key, regions[key]):
                        self._measured[key] = future.result()
                    if done < len(regions):
                        self.tell("measuring", done + 1, len(regions))
        finally:
            self._beside.close()  # it would hold its memory for as long as the line is kept

    @contextmanager
    def _named_on_fault(self, key: str, region: MultiPolygon) -> Iterator[None]:
        """Say of a fault in measuring which colour's region it is, or where what is made of them lies.

        :raises OurFault: the fault
        """
        try:
            yield
        except OurFault as fault:
            painted = (one for _, separations in self._read.values() for one in separations)
            colour = next(
                (one.colour for one in painted if digest_of(one.region) == key), "a screen"
            )
            told = OurFault(f"measuring {colour}, {place(region.bounds)}: {fault}")
            for note in getattr(fault, "__notes__", ()):
                told.add_note(note)
            raise told from fault

    def palette(self, setup: SetUp) -> Palette:
        """Give what happens to each colour of a set-up's artwork."""
        artwork, painted = self.read(setup)
        return decide(
            painted,
            self.loaded.order,
            setup,
            self.loaded.shop,
            artwork.name,
            artwork.tints,
            partial(self._shown_elsewhere, setup),
            partial(self.loaded.refused, setup.place),
        )

    def _shown_elsewhere(self, setup: SetUp, choice: ColourChoice) -> bool:
        """Say whether a set-up that a choice is meant for, too, has its colours.

        One named by ``--set`` alone is meant for all prints; where tints show the garment, one of a
        print for all its garments.
        """
        for_all = self.loaded.is_for_any_print(setup.place, choice.colour)
        return any(
            _has_colours(choice, self.read(other)[1])
            for other in self.setups
            if other is not setup
            and (for_all or (other.place == setup.place and other.solid_tints_on is not None))
        )

    def _unused(self, setups: Iterable[SetUp]) -> set[tuple[str, str]]:
        """Give place and colour of the choices that change nothing in any of some set-ups."""
        named, used = set[tuple[str, str]](), set[tuple[str, str]]()
        for setup in setups:
            painted = self.read(setup)[1]
            for choice in setup.colours:
                named.add((setup.place, choice.colour))
                if _has_colours(choice, painted):
                    used.add((setup.place, choice.colour))
        return named - used

    def painted(self, setup: SetUp) -> Job:
        """Give the job with its artwork measured as painted, and nothing made of it yet."""
        artwork, painted = self.read(setup)
        measured = self.measure_all(setup.artwork, [s.region for s in painted])
        return Job(
            order=self.loaded.order,
            setup=setup,
            artwork=artwork,
            separations=painted,
            drawn=(),
            design=tuple(
                DesignRegion(s.colour, s.region, s.painted, m)
                for s, m in zip(painted, measured, strict=True)
            ),
            screens=(),
            shop=self.loaded.shop,
            chosen=self.loaded.chosen_for(setup),
            notes=(
                *self._unproofed,
                *artwork.notes,
                *blank_margins(artwork),
                *self.loaded.assumed,
                *self.loaded.notes,
                *self.palette(setup).notes,
            ),
            without=self.plugins.without,
        )

    def draft(self, setup: SetUp) -> Job:
        """Give the job with its design measured and one screen for each colour printed.

        :raises prep.errors.InputError: nothing is left to print, or it is far too large
        """
        self.hold_to_size(setup)
        artwork, _ = self.read(setup)
        palette = self.palette(setup)
        with_screens(self._join(setup, palette), palette, artwork.name)
        return self.planned(setup)

    def planned(self, setup: SetUp) -> Job:
        """Give the same as :meth:`draft`, and a job without screens where nothing is left to print."""
        artwork, painted = self.read(setup)
        palette, chosen = self.palette(setup), self.loaded.chosen_for(setup)
        separations = [s for s in self._join(setup, palette) if s.colour not in palette.bare]
        measure_all = partial(self.measure_all, setup.artwork)
        drawn, design, edits = design_of(
            separations, self.plugins, chosen.get, measure_all, setup, self.loaded.shop
        )
        return Job(
            order=self.loaded.order,
            setup=setup,
            artwork=artwork,
            separations=painted,
            drawn=drawn,
            design=design,
            screens=colour_screens(design, setup, self.loaded.shop),
            shop=self.loaded.shop,
            chosen=chosen,
            notes=(
                *self._unproofed,
                *artwork.notes,
                *blank_margins(artwork),
                *self.loaded.assumed,
                *self.loaded.notes,
                *palette.notes,
                *edits,
            ),
            without=self.plugins.without,
        )

    def _join(self, setup: SetUp, palette: Palette) -> tuple[Separation, ...]:
        """Join colours as the palette asks, once for each artwork and the same wishes."""
        artwork, painted = self.read(setup)
        if not palette.joined:
            return painted
        key = digest_of((artwork, dict(palette.joined)))
        if key not in self._joined:
            self.tell(f"joining colours of {artwork.name}")
            with kept_on_fault(setup.artwork):
                self._joined[key] = self._guard.run(separate, recoloured(artwork, palette.joined))
        return self._joined[key]

    def job(self, setup: SetUp) -> Job:
        """Give the job with its final screens."""
        if setup.key not in self._jobs:
            draft = self.draft(setup)
            self.tell("making screens ready")
            measure_all = partial(self.measure_all, setup.artwork)
            with named_by_file(self.loaded):
                self._jobs[setup.key] = make_ready(
                    draft, self.plugins, measure_all, self.session.gather
                )
        return self._jobs[setup.key]

    def ask(self, job: Job) -> Ask:
        """Give the ``ask`` of a job; settings that an answer refuses are told by their file."""
        answered = self.session.ask_for(job)

        def ask(question: type[T]) -> T:
            with named_by_file(self.loaded):
                return answered(question)

        return ask

    def report(self, job: Job) -> Report:
        """Ask the plugins for marks, findings and sections.

        :raises PluginFailed: a plugin failed, also while answering another
        """
        self.session.begin()
        lacking: list[str] = []
        self.tell("placing marks")
        marks = self._told("prep_marks", Mark, lacking, job)
        self.tell("looking for trouble")
        findings = worst_first(self._told("prep_findings", Finding, lacking, job, marks=marks))
        self.tell("writing sections")
        sections = self._told(
            "prep_sections", Section, lacking, job, marks=marks, findings=findings
        )
        if self.session.failures:
            raise self.session.failures[0]
        return Report(job, marks, findings, sections, tuple(lacking))

    def reports(self) -> tuple[Report, ...]:
        """Report on every set-up of the order.

        :raises SettingsError: order.toml names what no set-up has a use for
        """
        reports = tuple(self.report(self.job(setup)) for setup in self.setups)
        unused = [{f.unused: f for f in report.findings if f.unused} for report in reports]
        for said, finding in unused[0].items():
            if all(said in other for other in unused):
                keys = [part for part in finding.unused_at if isinstance(part, str)]
                typed = self.loaded.typed(".".join(keys))
                where = self.loaded.file_of("order.toml") if typed is None else f"--set {typed}"
                raise SettingsError(
                    f"{finding.what.rstrip('.')}, nor in any other set-up",
                    where=where,
                    do="name what is there, or take it out",
                )
        return reports

    def order_sections(self, jobs: Sequence[Job]) -> tuple[Section, ...]:
        """Ask the plugins for the parts of the page over all set-ups.

        :raises PluginFailed: a plugin failed, also while answering another, or gave a part for a set-up
        """
        self.session.begin()
        lacking = list[str]()
        sections = self._gather(
            "prep_order_sections", Section, lacking, jobs=tuple(jobs), ask=self.ask
        )
        if self.session.failures:
            raise self.session.failures[0]
        for section in sections:
            if section.chapter not in ("job", "why"):
                what = f'"{section.title}" isn\'t of the chapter job or why, the only ones of that page'
                raise PluginFailed(section.by, f"prep_order_sections: {what}")
        said = tuple(Paragraph(line) for line in lacking)
        return (*sections, *((Section("job", "Not on this page", said, rank=99),) if said else ()))

    def documents(
        self, reports: Sequence[Report], where: Path, givers: Container[str] | None = None
    ) -> dict[str, bytes]:
        """Give every file of the job folder but its record: name -> bytes.

        :param where: the folder they will lie in, so that order.toml names artworks from there
        :param givers: plugins that are asked for their files; ``None`` = all
        """
        files: dict[str, bytes] = {}
        for report in reports:
            self.tell(f"writing files of {report.job.setup.name}")
            folder = f"{report.job.setup.key}/" if len(reports) > 1 else ""
            made = self._documents(
                "prep_documents", givers, report=report, ask=self.ask(report.job)
            )
            files |= _by_name(made, folder)
            setup = report.job.setup
            in_force = self.loaded.in_force(
                setup,
                folder=where / folder,
                unused=self._unused([setup]),
                useless=[f.unused_at for f in report.findings if f.unused_at],
            )
            files[folder + "order.toml"] = in_force.encode()
            if folder:
                files[folder + "job.json"] = setup_record(report)
        if len(reports) > 1:
            made = self._documents(
                "prep_order_documents",
                givers,
                reports=tuple(reports),
                sections=self.order_sections([report.job for report in reports]),
            )
            files |= _by_name(made, "")
            files["order.toml"] = self.loaded.in_force(
                folder=where, unused=self._unused(self.setups)
            ).encode()
        return files

    def write(
        self,
        folder: Path,
        reports: tuple[Report, ...] | None = None,
        givers: Container[str] | None = None,
    ) -> tuple[Report, ...]:
        """Make the whole job and put it into its folder.

        :param reports: where they were made before
        :param givers: plugins whose files are wanted; ``None`` = all
        :raises prep.errors.OutputError: the folder can't be written
        """
        reports = self.reports() if reports is None else reports
        files = self.documents(reports, folder, givers)
        self.tell("writing the folder")
        write_folder(folder, files, order_record(reports, self.plugins))
        return reports

    def _told(
        self, hook: str, kind: type[T], lacking: list[str], job: Job, **given: object
    ) -> tuple[T, ...]:
        """Ask all plugins about a job, each only where something that it read has changed."""
        found: list[T] = []
        for name in self.plugins.names:
            with self._noted(name, hook, lacking):
                found += self.session.told(name, hook, kind, job, **given)
        return tuple(found)

    def _gather(
        self, hook: str, kind: type[T], lacking: list[str], **arguments: object
    ) -> tuple[T, ...]:
        """Ask all plugins; one that lacks an answer is noted, never passed over in silence."""
        found: list[T] = []
        for name in self.plugins.names:
            with self._noted(name, hook, lacking):
                found += self.plugins.gather_from(name, hook, kind, **arguments)
        return tuple(found)

    @contextmanager
    def _noted(self, name: str, hook: str, lacking: list[str]) -> Iterator[None]:
        """Note of a plugin that it lacks an answer, and tell settings that it refuses by their file."""
        try:
            with named_by_file(self.loaded):
                yield
        except Unanswered as error:
            lacking.append(f"{name} gave no {hook.removeprefix('prep_')}: {error.why}.")

    def _documents(
        self, hook: str, givers: Container[str] | None, **arguments: object
    ) -> list[Document]:
        made: list[Document] = []
        for name in self.plugins.names:
            if givers is not None and name not in givers:
                continue
            try:
                made += self.plugins.gather_from(name, hook, Document, **arguments)
            except Unanswered as error:
                raise PluginFailed(name, f"can't make its files: {error.why}") from error
        return made


def _latest(kept: dict[K, T], most: int) -> dict[K, T]:
    """Give the latest entries of a memory."""
    return dict(list(kept.items())[-most:])


def _has_colours(choice: ColourChoice, painted: Sequence[Separation]) -> bool:
    """Say whether an artwork shows the colour a choice is of, and the one it is printed as."""
    return {choice.colour, choice.print_as or choice.colour} <= {one.colour for one in painted}


_OURS = frozenset({"order.toml", "job.json"})


def _by_name(documents: Sequence[Document], folder: str) -> dict[str, bytes]:
    """Put documents under their names in a folder.

    :raises PluginFailed: two documents of one name, also where case is ignored, or a name of the core's
    """
    givers: dict[str, str] = {}
    for document in documents:
        name = document.name.casefold()
        if name in _OURS:
            raise PluginFailed(document.by, f"gives {document.name}, which Firstpull writes itself")
        if name in givers:
            raise PluginFailed(
                document.by, f"gives the file {document.name}, and so does {givers[name]}"
            )
        givers[name] = document.by
    return {folder + document.name: document.data for document in documents}
