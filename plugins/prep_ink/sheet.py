"""The ink parts of the prep sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from prep.cloth import per_inch
from prep.phrases import at_least, several, spelt
from prep.sections import Caution, Column, Figures, Paragraph, Section, Table
from prep.setups import expand
from prep_ink.answers import InkOnScreen, InkOnScreens, InkToMix, MeshFigures, MeshOnScreens
from prep_ink.classes import InkClass
from prep_ink.forecast import class_on, in_force
from prep_ink.mixing import readability_for, shirts_to_weigh
from prep_ink.parameters import TRANSFER
from prep_ink.thickness_pages import thickness_sections
from prep_ink.why import why_section
from prep_ink.words import (
    between,
    decimals,
    duration,
    figure,
    percent,
    volume,
    weight,
)

if TYPE_CHECKING:
    from prep.estimate import Parameter
    from prep.job import Ask, Job

EIGHT_IN_TEN = "In brackets: the range it lies in eight times out of ten."
PART_OF_IT = (
    "To mix is what this set-up takes by itself: ink is mixed once for the whole order, by its page over"
    " all set-ups."
)
BEHIND = (
    "The bead must lie before the blade at the last print and is scraped back; what mesh, film, blade and"
    " pot keep is lost. To mix is rounded up by 2 % at most, to what the balance shows."
)
HARDLY_G = 0.01
"""Of an ink the whole run takes less of, the prints take next to nothing: some 3 mm² each of 50."""


def sections(job: Job, ask: Ask) -> Iterator[Section]:
    """Give the job page's ink tables, each screen's figures, and what they rest on."""
    ink, meshes = ask(InkOnScreens), ask(MeshOnScreens)
    yield _job_page(job, ink)
    yield _for_customer(job, ink)
    for screen in job.screens:
        yield _screen_page(job, screen.key, meshes[screen.key], ink)
    yield from thickness_sections(job, ask)
    yield _rests_on(job, ask)
    yield why_section(job, ask)


def prints_in_words(job: Job, ink: InkOnScreen, test_pulls: int) -> str:
    """Say what the run is made of: ``29 prints: 24 shirts, 4 test pulls, 1 spoilt``."""
    shirts = job.setup.shirts
    spoilt = ink.prints - shirts - test_pulls
    return (
        f"{ink.prints} prints: {shirts} shirt{'' if shirts == 1 else 's'},"
        f" {test_pulls} test pull{'' if test_pulls == 1 else 's'}, {spoilt} spoilt"
    )


def weighed_at(inks: InkOnScreens, asked: InkOnScreen) -> InkOnScreen:
    """Give the screen at which shirts are weighed to learn the transfer: that asked for, if it can be it.

    It is printed once, as nobody knows what dries between passes, and through a film of its own, as shirts
    gain the other ink as well else. Where none is, the one asked for is given.
    """
    films = [one.film for one in inks.by_screen.values()]
    can = [
        one
        for one in inks.by_screen.values()
        if one.passes == 1 and films.count(one.film) == 1 and one.per_print_g.value > 0.0
    ]
    if not can or any(one.screen == asked.screen for one in can):
        return asked
    return max(can, key=lambda one: one.per_print_g.value)


def _when_weighed(at: InkOnScreen) -> str:
    """Say between what shirts are weighed where a screen is printed more than once."""
    if at.passes == 1:
        return ""
    return f", one pass of its {at.passes} alone and before it is flashed"


def comes_from(ink: InkOnScreen, readability_g: float, at: InkOnScreen | None = None) -> str:
    """Say what most of the uncertainty comes from, what can be done about it, and what that would leave.

    :param at: the screen at which shirts are weighed, see :func:`weighed_at`; ``None`` = its own
    """
    largest = ink.uncertainty[0]
    part = "The largest part"
    if largest.share > 0.5:
        part = "Nearly all" if largest.share > 0.9 else "Most"
    text = f"{part} of the uncertainty ({percent(largest.share)}) comes from {largest.words}."
    if ink.once_measured_g is None:
        return text
    remedy = largest.remedy
    if largest.parameter == TRANSFER.parameter.name:
        at = ink if at is None else at
        elsewhere = at.screen != ink.screen
        shirts, finer = _to_weigh(at, readability_g)
        balance = f", on a balance that shows {finer:g} g (yours shows too little)" if finer else ""
        which = f" {at.ink}, which is printed once" if elsewhere else _when_weighed(at)
        remedy = (
            f"Weigh {shirts} shirts together{balance}, before and right after printing{which}: the"
            " end of the sheet says how the gain is written into the shop's settings."
        )
        if elsewhere:  # how far that tells of this ink, too, is not foretold
            return f"{text} {remedy}"
    digits = decimals(ink.per_print_g.value)
    now, then = (
        f"{one.low:.{digits}f} to {one.high:.{digits}f}"
        for one in (ink.per_print_g, ink.once_measured_g)
    )
    if now == then:
        return text
    return f"{text} {remedy} A print would then be known to {then} g in place of {now} g."


def mix_table(mixes: Sequence[tuple[str, InkToMix]], where: str, units: str, caption: str) -> Table:
    """Give the table of what to mix.

    :param mixes: where each is printed, and the ink
    :param where: title of that column
    """
    return Table(
        ("Ink", where, "For the run", "Bead", "Lost", "To mix", "Suffices"),
        tuple(
            (
                mix.ink,
                printed,
                between(mix.for_run_g),
                between(mix.bead_g),
                between(mix.clings_g + mix.pot_g),
                f"{weight(mix.to_mix_g, units)},"
                f" {volume(mix.to_mix_g, mix.density_g_per_ml.value, units)}",
                percent(mix.chance),
            )
            for printed, mix in mixes
        ),
        "llrrrrr",
        caption=caption,
    )


def thrown_away(mixes: Sequence[InkToMix]) -> Iterator[Caution]:
    """Say which mixes don't keep."""
    for mix in mixes:
        if mix.pot_life_s is not None:
            yield Caution(
                f"{mix.ink} is thrown away {duration(mix.pot_life_s)} after it was mixed, by its maker's"
                " rules and never down the sink; what is left is no stock. Its maker's sheet comes first."
            )


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
    setups = expand(job.order, dark_below=job.shop.dark_below)
    once = f" {PART_OF_IT}" if len(setups) > 1 else ""
    to_mix = mix_table(
        [(several(tuple(numbers[key] for key in mix.screens)), mix) for mix in ink.inks],
        "Screen",
        job.shop.units,
        f"The run is {prints_in_words(job, first, order.test_pulls)}. {EIGHT_IN_TEN} {BEHIND}{once}",
    )
    widest = max((ink[s.key] for s in job.screens), key=lambda i: i.for_run_g.value)
    to_weigh = Column("Ink to mix", tuple(_to_mix(job, ink)), 20)
    return Section(
        "job",
        "Ink",
        (
            to_mix,
            *_hardly_printed(ink),
            Paragraph(
                f"{widest.ink}: "
                + comes_from(widest, job.shop.balance.readability_g, weighed_at(ink, widest))
            ),
            *thrown_away(ink.inks),
            Caution(
                "Water-based does not mean harmless: read the ink maker's safety data sheet, keep ink"
                " off the skin and never pour it down the sink."
            ),
        ),
        rank=40,
        columns=(to_weigh,),
    )


def _to_mix(job: Job, ink: InkOnScreens) -> Iterator[tuple[str, str]]:
    """Give what is to be mixed of each ink beside its first screen; beside others that screen's number."""
    for mix in ink.inks:
        first, *others = mix.screens
        yield first, weight(mix.to_mix_g, job.shop.units)
        for key in others:
            yield key, f"with screen {job.screen(first).number}"


def _for_customer(job: Job, ink: InkOnScreens) -> Section:
    """Say how many shirts may be spoilt, for the page the customer signs."""
    from prep_ink.settings import OrderInk

    order, shirts = job.settings(OrderInk), job.setup.shirts
    spoilt = ink.by_screen[job.screens[0].key].prints - shirts - order.test_pulls
    count = f"{spoilt} of {shirts}"
    rows = (
        (
            "May be spoilt",
            count if spoilt else "none",
            "printed again, or fewer delivered, as agreed below",
        ),
    )
    return Section("customer", "Shirts spoilt in printing", (Figures(rows),), rank=60, step="judge")


def _counts(per_cm: float, units: str) -> str:
    """Say a mesh count both ways it is sold by, the shop's own first."""
    metric, inch = f"{per_cm:g}/cm", f"{per_inch(per_cm):.0f} tpi"
    return f"{inch} ({metric})" if units == "inch" else f"{metric} ({inch})"


def _screen_page(job: Job, key: str, mesh: MeshFigures, inks: InkOnScreens) -> Section:
    ink = inks[key]
    own = replace(class_on(job, job.screen(key)), pot_life_s=ink.pot_life_s)
    figures = Figures(
        (
            (
                "Mesh",
                mesh.name,
                f"{_counts(mesh.count_per_cm, job.shop.units)}, thread"
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
            (
                "Stays behind",
                between(ink.stays_g),
                f"{figure(ink.bead_g.value)} g as bead, {figure(ink.clings_g.value)} g on mesh, film and"
                " blade;"
                f" squeegee {at_least(ink.squeegee_mm, job.shop.units)}"
                f"{f' ({ink.squeegee_assumed})' if ink.squeegee_assumed else ''}",
            ),
            ("Kind of ink", own.kind, _class_in_words(own, ink.strokes)),
        )
    )
    return Section("screen", "Mesh and ink", (figures,), rank=30, screen=key)


def _class_in_words(own: InkClass, strokes: int) -> str:
    flash = "never flashed"
    if own.flash_s is not None:
        low, high = own.flash_s
        flash = f"flash {low:g} s" if low == high else f"flash {low:g} to {high:g} s"
    keeps = "keeps in a closed pot"
    if own.pot_life_s is not None:
        keeps = f"thrown away {duration(own.pot_life_s)} after mixing"
    many = f"{strokes} stroke{'' if strokes == 1 else 's'}"
    return f"{many}; {flash}; {keeps} ({own.status})"


def _origin(mesh: MeshFigures, what: str) -> str:
    if what in mesh.stated:
        return "the maker's"
    if what == "volume" and mesh.volume_origin == "maker":
        return "from the maker's open area and thickness"
    return "ideal, from count and thread" if not mesh.stated else "from the maker's other figures"


def calibration(job: Job, ask: Ask) -> str:
    """Say how to set the transfer from shirts weighed: it is proportional to the grams on a shirt."""
    ink = ask(InkOnScreens)
    most = weighed_at(ink, max(ink.by_screen.values(), key=lambda i: i.per_print_g.value))
    screen = job.screen(most.screen)
    shirts, finer = _to_weigh(most, job.shop.balance.readability_g)
    transfer = next(k.parameter for k in in_force(job, ask) if k.parameter.name == "ink.transfer")
    balance = f" on a balance that shows {finer:g} g" if finer else ""
    return (
        f"To set the transfer by your own hand: weigh {shirts} shirts together{balance} before and right"
        f" after printing {most.ink}{_when_weighed(most)}, before the water dries off: fewer, and the"
        " balance shows too little"
        f" of it. t = {transfer.default:g} × gain in g ÷ {shirts * _of_a_pass_g(most):.3g}; write"
        f' transfer = {{ value = t, mesh = "{screen.mesh}", ink = "{most.ink}", strokes = {most.strokes} }}'
        " into [ink] of shop.toml."
    )


def _to_weigh(ink: InkOnScreen, readability_g: float) -> tuple[int, float | None]:
    """Give how many shirts to weigh together, and a finer balance where this one would take a whole run."""
    shirts = shirts_to_weigh(_of_a_pass_g(ink), readability_g)
    if shirts <= ink.prints:
        return shirts, None
    finer = readability_for(ink.prints * _of_a_pass_g(ink), 0.05)
    return shirts_to_weigh(_of_a_pass_g(ink), finer), finer


def _of_a_pass_g(ink: InkOnScreen) -> float:
    """Give what one pass leaves on a shirt: each is reckoned alike."""
    return ink.per_print_g.value / ink.passes


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


_IN_INCHES = {"mm": (25.4, "in"), "mm2": (25.4**2, "in²")}


def ranged(parameter: Parameter, units: str) -> str:
    """Give a parameter's value and range with its unit, lengths and areas in the shop's."""
    value, low, high = parameter.default, parameter.low, parameter.high
    unit = spelt(parameter.unit)
    if units == "inch" and parameter.unit in _IN_INCHES:
        per, unit = _IN_INCHES[parameter.unit]
        value, low, high = (float(f"{one / per:.2g}") for one in (value, low, high))
    return f"{value:g} ({low:g} to {high:g}) {unit}".strip()


def _rests_on(job: Job, ask: Ask) -> Section:
    rows = _merged(
        (
            known.words,
            ranged(known.parameter, job.shop.units),
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
