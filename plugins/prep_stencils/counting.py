"""Screens that hardly pay, and more screens than anybody wants: each costs a film and a set-up."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from prep.colour_difference import difference
from prep.findings import Finding
from prep.job import Job
from prep.screens import Screen

_NAMED = 6
"""Tiny screens that are named, the smallest first."""
_MM2_PER_IN2 = 645.16


def findings_of_screens(job: Job) -> Iterator[Finding]:
    """Say which screens print next to nothing, and whether there are many.

    Where the shop says how many its press holds, what comes of more is said with the order of printing.
    """
    tiny = sorted(
        (
            screen
            for screen in job.screens
            if screen.does == "colour" and 0.0 < screen.region.area < job.shop.tiny_screen_mm2
        ),
        key=lambda screen: screen.region.area,
    )
    yield from _too_many(job, len(tiny))
    if tiny:
        yield _tiny(job, tiny)
    yield from _near_the_shirts(job)


def _tiny(job: Job, tiny: list[Screen]) -> Finding:
    named = [
        f"screen {screen.number}, {_name(screen)} ({_area(screen.region.area, job)})"
        for screen in tiny[:_NAMED]
    ]
    more = f", and {len(tiny) - _NAMED} more" if len(tiny) > _NAMED else ""
    prints = "A screen prints" if len(tiny) == 1 else f"{len(tiny)} screens print"
    each = "" if len(tiny) == 1 else " each"
    places = [shapely.point_on_surface(screen.region) for screen in tiny]
    first, *others = [(float(point.x), float(point.y)) for point in places]
    return Finding(
        severity="note",
        kind="screen for next to nothing",
        what=f"{prints} less than {_area(job.shop.tiny_screen_mm2, job)}{each}: {', '.join(named)}{more}.",
        why="Each screen costs a film, a mesh, and its lining up, however little it prints. Specks of a"
        " colour of their own are often tints or overlaps nobody thinks of as a colour.",
        do=_way_out(job, tiny[0], several=len(tiny) > 1),
        at_mm=first,
        also_at_mm=tuple(others),
        count=len(tiny),
    )


def _near_the_shirts(job: Job) -> Iterator[Finding]:
    """Say which colours can hardly be told from the shirt, unless they are printed as asked."""
    if not job.order.bare_shirt:
        return
    asked = {choice.colour for choice in job.setup.colours if choice.printed}
    shirts = dict.fromkeys(batch.colour for batch in job.setup.batches)
    for screen in job.screens:
        apart = {shirt: difference(screen.colour, shirt) for shirt in shirts}
        if (
            screen.does != "colour"
            or screen.colour in asked
            or not all(0.0 < each < job.order.near_equal for each in apart.values())
        ):
            continue
        point = shapely.point_on_surface(screen.region)
        told = " and ".join(f"{shirt} by {each:.2f}" for shirt, each in apart.items())
        yield Finding(
            severity="note",
            kind="colour near the shirt's own",
            what=f"Screen {screen.number}, {_name(screen)}, differs from the shirt's {told} CIEDE2000.",
            why="Some 2 can just be seen. A screen costs a film and its lining up, and the bare shirt would"
            " look the same.",
            do=f"To leave the shirt bare there: --set 'colour.{screen.colour}.printed=false'.",
            colour=screen.colour,
            at_mm=(float(point.x), float(point.y)),
        )


def _way_out(job: Job, screen: Screen, *, several: bool) -> str:
    """Give the commands for the smallest one: print it as the colour nearest to it, or leave it out."""
    lead = "For the smallest" if several else "To be rid of it"
    bold = [
        other
        for other in job.screens
        if other.does == "colour" and other.region.area >= job.shop.tiny_screen_mm2
    ]
    leave = f"--set 'colour.{screen.colour}.printed=false' leaves the shirt bare there"
    if not bold:
        return f"{lead}: {leave}. Else set tiny_screen lower in shop.toml."
    near = min(bold, key=lambda other: (difference(screen.colour, other.colour), other.colour))
    return (
        f"{lead}: --set 'colour.{screen.colour}.print_as={near.colour}' prints it with {_name(near)},"
        f" the nearest colour; {leave}."
    )


def _too_many(job: Job, tiny: int) -> Iterator[Finding]:
    count, most = len(job.films), job.shop.most_screens
    if job.shop.press.stations is not None or count <= most:
        return
    drop = " Begin with the tiny ones named here." if tiny else ""
    yield Finding(
        severity="at risk",
        kind="many screens",
        what=f"{count} screens are to be printed, more than {most} (most_screens in shop.toml).",
        why="Each further screen is a film to cut and a colour to line up with all the others; where"
        " screens must be changed, all shirts are printed and dried before the next, and go back to"
        " the same place.",
        do="Print colours from one screen (print_as), leave out what isn't missed (printed = false), or"
        " draw with fewer colours; else say in shop.toml how many screens the press holds ([press]"
        f" stations).{drop}",
        count=1,
    )


def _name(screen: Screen) -> str:
    return screen.ink if screen.ink == screen.colour else f"{screen.ink} {screen.colour}"


def _area(area_mm2: float, job: Job) -> str:
    if job.shop.units == "inch":
        area_in2 = area_mm2 / _MM2_PER_IN2
        return f"{area_in2:.2f} in²" if area_in2 >= 0.005 else "under 0.01 in²"
    return f"{area_mm2 / 100:.2f} cm²" if area_mm2 >= 0.5 else "under 0.01 cm²"
