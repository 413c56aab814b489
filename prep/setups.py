"""The expansion of an order into set-ups, and names that are safe for folders."""

from __future__ import annotations

import re
import unicodedata
from typing import Literal

from prep.artwork import PrintSize
from prep.order import Batch, Garment, Order, Print, SetUp

Shade = Literal["dark", "light"]
_Ground = tuple[Shade, str | None]
"""Shade of garments, and their colour where tints are printed solid on it."""


def expand(order: Order, *, dark_below: float) -> tuple[SetUp, ...]:
    """Give the set-ups of an order: garments alike in place, print size and shade share one.

    Where tints are printed solid, so must their colour be alike, as tints show it.

    They come in the order in which prints, garments and sizes are written, those of one print size
    next to each other; so do their batches.

    :param order: a checked order
    :param dark_below: garments of lower CIE L* are dark
    """
    made: list[SetUp] = []
    for printed in order.print:
        groups: dict[PrintSize, dict[_Ground, dict[int, list[tuple[str, int]]]]] = {}
        for number, garment in enumerate(order.garment):
            if not garment.carries(printed.place):
                continue
            shade = shade_of(garment.colour, dark_below=dark_below)
            ground = shade, garment.colour if printed.solid_tints else None
            for size, count in garment.sizes.items():
                group = groups.setdefault(printed.size_for(size), {}).setdefault(ground, {})
                group.setdefault(number, []).append((size, count))
        alike = [(size, ground, s) for size, g in groups.items() for ground, s in g.items()]
        for size_mm, ground, sizes in alike:
            batches = tuple(
                _batch(order.garment[number], tuple(counts)) for number, counts in sizes.items()
            )
            made.append(_setup(printed, size_mm, ground, batches, {s.key for s in made}))
    return tuple(made)


def shade_of(colour: str, *, dark_below: float) -> Shade:
    """Tell whether a garment is dark: CIE L* (CIELAB, D65) under a limit."""
    from coloraide import Color

    return "dark" if Color(colour).convert("lab-d65")["lightness"] < dark_below else "light"


def safe_name(text: str, *, otherwise: str) -> str:
    """Make a name that any file system takes: lower-case letters, digits, dots and hyphens.

    :param otherwise: what stands in for a name that has none of these
    """
    plain = (
        unicodedata.normalize("NFKD", text.replace("ß", "ss")).encode("ascii", "ignore").decode()
    )
    kept = re.sub(r"[^a-z0-9.]+", "-", plain.lower()).strip("-.")
    return kept[:60].strip("-.") or otherwise


def _batch(garment: Garment, sizes: tuple[tuple[str, int], ...]) -> Batch:
    return Batch(
        garment=garment.name,
        colour=garment.colour,
        fibre=garment.fibre,
        sizes=sizes,
        style=garment.style,
    )


def _setup(
    printed: Print, size: PrintSize, ground: _Ground, batches: tuple[Batch, ...], taken: set[str]
) -> SetUp:
    shade, tints_on = ground
    wide, high = size.width_mm, size.height_mm
    if wide is not None and high is not None:
        spelt, key_part = f"{wide:g} x {high:g} mm", f"{wide:g}x{high:g}mm"
    elif wide is not None:
        spelt, key_part = f"{wide:g} mm", f"{wide:g}mm"
    elif high is not None:
        spelt, key_part = f"{high:g} mm high", f"{high:g}mm-high"
    else:
        spelt, key_part = "size as drawn", "as-drawn"
    place = safe_name(printed.place, otherwise="print").replace(
        ".", "-"
    )  # con.x is a device to some
    wanted = f"{place}-{key_part}-{shade}{'' if tints_on is None else tints_on.replace('#', '-')}"
    key, number = wanted, 2
    while key in taken:
        key, number = f"{wanted}-{number}", number + 1
    return SetUp(
        key=key,
        name=f"{printed.place}, {spelt}, on {shade}{'' if tints_on is None else f' {tints_on}'}",
        place=printed.place,
        artwork=printed.artwork,
        size=size,
        colours=printed.colour,
        batches=batches,
        shade=shade,
        solid_tints_on=tints_on,
    )
