"""The ink parts of the prep sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from prep.phrases import several
from prep.sections import Caution, Figures, Paragraph, Section, Table
from prep_ink.answers import InkOnScreen, InkOnScreens, InkToMix, MeshFigures, MeshOnScreens
from prep_ink.forecast import in_force
from prep_ink.mesh import per_inch
from prep_ink.words import between, figure, percent, spelt, weight

if TYPE_CHECKING:
    from prep.job import Ask, Job

EIGHT_IN_TEN = "In brackets: the range it lies in eight times out of ten."
HARDLY_G = 0.01
"""Of an ink the whole run takes less of, the prints take next to nothing: some 3 mm² each of 50."""


def sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give the job page's ink tables, each screen's figures, and what they rest on."""
    ink, meshes = ask(InkOnScreens), ask(MeshOnScreens)
    yield _job_page(job, ink)
    for screen in job.screens:
        yield _screen_page(job, screen.key, meshes[screen.key], ink)
    yield _rests_on(job, ask)


def prints_in_words(job: Job, ink: InkOnScreen, test_pulls: int) -> str:
    """Say what the run is made of: ``29 prints: 24 shirts, 4 test pulls, 1 spoilt``."""
    shirts = job.setup.shirts
    spoilt = ink.prints - shirts - test_pulls
    return (
        f"{ink.prints} prints: {shirts} shirt{'' if shirts == 1 else 's'},"
        f" {test_pulls} test pull{'' if test_pulls == 1 else 's'}, {spoilt} spoilt"
    )


def comes_from(ink: InkOnScreen) -> str:
    """Say what most of the uncertainty comes from, and what can be done about it."""
    largest = ink.uncertainty[0]
    part = "The largest part"
    if largest.share > 0.5:
        part = "Nearly all" if largest.share > 0.9 else "Most"
    text = f"{part} of the uncertainty ({percent(largest.share)}) comes from {largest.words}."
    return f"{text} {largest.remedy}".strip()


def _hardly_printed(ink: InkOnScreens) -> Iterator[Paragraph]:
    """Say of which inks the prints take next to nothing, so that what is mixed only wets the screen."""
    few = [mix for mix in ink.inks if mix.for_run_g.high < HARDLY_G]
    if few:
        yield Paragraph(
            f"Of {several(tuple(mix.ink for mix in few))} the prints take next to nothing: what is to be"
            " mixed wets screen, squeegee and pot. Before mixing any, see whether so little can be printed"
            " and is worth a screen."
        )


def _job_page(job: Job, ink: InkOnScreens) -> Section:
    from prep_ink.settings import OrderInk

    order = job.settings(OrderInk)
    first = ink.by_screen[job.screens[0].key]
    numbers = {screen.key: str(screen.number) for screen in job.screens}
    to_mix = Table(
        ("Ink", "Screen", "For the run", "Stays behind", "To mix", "Suffices", "Weighed"),
        tuple(
            (
                mix.ink,
                several(tuple(numbers[key] for key in mix.screens)),
                between(mix.for_run_g),
                between(mix.stays_g),
                weight(mix.to_mix_g, job.shop.units),
                percent(mix.chance),
                "",
            )
            for mix in ink.inks
        ),
        "llrrrrl",
        caption=f"The run is {prints_in_words(job, first, order.test_pulls)}. {EIGHT_IN_TEN} What stays"
        " behind on screen and in the pot comes mostly back. To mix is rounded up for the balance.",
    )
    widest = max((ink[s.key] for s in job.screens), key=lambda i: i.for_run_g.value)
    return Section(
        "job",
        "Ink",
        (
            to_mix,
            *_hardly_printed(ink),
            Paragraph(comes_from(widest)),
            Caution(
                "Water-based does not mean harmless: read the ink maker's safety data sheet, keep ink"
                " off the skin and never pour it down the sink."
            ),
        ),
        rank=40,
    )


def _screen_page(job: Job, key: str, mesh: MeshFigures, inks: InkOnScreens) -> Section:
    ink = inks[key]
    (mix,) = (mix for mix in inks.inks if key in mix.screens)
    figures = Figures(
        (
            (
                "Mesh",
                mesh.name,
                f"{mesh.count_per_cm:g}/cm ({per_inch(mesh.count_per_cm):.0f} tpi), thread"
                f" {mesh.thread_um:g} µm, pitch {mesh.pitch_um:.0f} µm",
            ),
            (
                "Opening",
                f"{mesh.opening_um:.0f} µm",
                f"{percent(mesh.open_area)} open; {_origin(mesh, 'opening')}",
            ),
            (
                "Ink volume",
                f"{mesh.volume_um:.0f} cm³/m² ({mesh.volume_um * mesh.volume_range[0]:.0f} to"
                f" {mesh.volume_um * mesh.volume_range[1]:.0f})",
                f"{mesh.thickness_um:.0f} µm thick; {_origin(mesh, 'volume')}",
            ),
            (
                "Wet ink",
                between(ink.mean_deposit_um),
                f"open field {figure(ink.open_field_um.value)}, at edges"
                f" {figure(ink.at_edge_um.value)} µm",
            ),
            ("Per print", between(ink.per_print_g), "; ".join(ink.per_print_g.basis[2:4])),
            ("For the run", between(ink.for_run_g), f"{ink.prints} prints"),
        )
    )
    return Section(
        "screen",
        "Mesh and ink",
        (figures, _mixing(job, ink, mix)),
        rank=30,
        screen=key,
    )


def _mixing(job: Job, ink: InkOnScreen, mix: InkToMix) -> Table:
    """Give the table to mix by: what is asked for, and room for what the balance showed."""
    part = f"{figure(ink.to_mix_g)} g"
    several_screens = len(mix.screens) > 1
    numbers = several(tuple(str(job.screen(screen).number) for screen in mix.screens))
    whole = f", for screens {numbers} together" if several_screens else ""
    rows = (
        (f"{mix.ink}{whole}", weight(mix.to_mix_g, job.shop.units), ""),
        ("Additive, by its maker's share", "", ""),
    )
    caption = "What stays on the screen is included."
    if several_screens:
        caption = f"This screen's part is {part}; what stays on the screen is included."
    return Table(("To mix", "Asked", "Weighed"), rows, "lrl", caption=caption)


def _origin(mesh: MeshFigures, what: str) -> str:
    if what in mesh.stated:
        return "the maker's"
    if what == "volume" and mesh.volume_origin == "maker":
        return "from the maker's open area and thickness"
    return "ideal, from count and thread" if not mesh.stated else "from the maker's other figures"


def calibration(job: Job, ask: Ask) -> str:
    """Say how to set the transfer from shirts weighed: it is proportional to the grams on a shirt."""
    ink = ask(InkOnScreens)
    most = max(ink.by_screen.values(), key=lambda i: i.per_print_g.value)
    transfer = next(k.parameter for k in in_force(job, ask) if k.parameter.name == "ink.transfer")
    return (
        "To set the transfer by your own hand: weigh three shirts before and right after printing"
        f" {most.ink}, before the water dries off, and take the mean gain in grams. transfer ="
        f" {transfer.default:g} × gain ÷ {most.per_print_g.value:.3g}; write it into [ink] of shop.toml."
    )


Row = tuple[str, str, str, str]


def _merged(rows: Iterable[Row]) -> tuple[Row, ...]:
    """Put figures that differ only by the ink they belong to into one row."""
    labels: dict[Row, list[str]] = {}
    for words, value, status, source in rows:
        what, _, label = words.rstrip(")").partition(" (")
        labels.setdefault((what, value, status, source), []).append(label)
    return tuple(
        (f"{what} ({', '.join(found)})" if any(found) else what, value, status, source)
        for (what, value, status, source), found in labels.items()
    )


def _rests_on(job: Job, ask: Ask) -> Section:
    rows = _merged(
        (
            known.words,
            f"{known.parameter.default:g} ({known.parameter.low:g} to {known.parameter.high:g})"
            f" {spelt(known.parameter.unit)}".strip(),
            known.parameter.status,
            known.parameter.source,
        )
        for known in in_force(job, ask)
    )
    guesses = tuple(row[0] for row in rows if row[2] == "guess")
    text = (
        "Ink on one shirt = transfer × (mesh volume × printed area + film that stands above the fabric"
        " × edge integral) × strokes × passes × density; the edge integral sums exp(-distance / reach)"
        " over what prints."
    )
    if guesses:
        text += f" Guesses, until weighed here: {several(guesses)}."
    return Section(
        "closing",
        "What the ink figures rest on",
        (
            Paragraph(text),
            Paragraph(calibration(job, ask)),
            Table(("What", "Value (range)", "Status", "Source"), rows),
        ),
        rank=90,
    )
