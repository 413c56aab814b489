"""The expansion of an order into set-ups, and names that are safe for folders."""

from __future__ import annotations

import re
import unicodedata
from typing import Literal

from prep.artwork import PrintSize
from prep.order import Batch, Garment, Order, Print, SetUp

Shade = Literal["dark", "light"]


def expand(order: Order, *, dark_below: float) -> tuple[SetUp, ...]:
    """Give the set-ups of an order: garments alike in place, print size and shade share one.

    They come in the order in which prints, garments and sizes are written, those of one print size
    next to each other; so do their batches.

    :param order: a checked order
    :param dark_below: garments of lower CIE L* are dark
    """
    made: list[SetUp] = []
    for printed in order.print:
        groups: dict[PrintSize, dict[Shade, dict[int, list[tuple[str, int]]]]] = {}
        for number, garment in enumerate(order.garment):
            if not garment.carries(printed.place):
                continue
            shade = shade_of(garment.colour, dark_below=dark_below)
            for size, count in garment.sizes.items():
                group = groups.setdefault(printed.size_for(size), {}).setdefault(shade, {})
                group.setdefault(number, []).append((size, count))
        alike = [(size, shade, s) for size, g in groups.items() for shade, s in g.items()]
        for size_mm, shade, sizes in alike:
            batches = tuple(
                _batch(order.garment[number], tuple(counts)) for number, counts in sizes.items()
            )
            made.append(_setup(printed, size_mm, shade, batches, {s.key for s in made}))
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
    return Batch(garment=garment.name, colour=garment.colour, fibre=garment.fibre, sizes=sizes)


def _setup(
    printed: Print, size: PrintSize, shade: Shade, batches: tuple[Batch, ...], taken: set[str]
) -> SetUp:
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
    wanted = f"{place}-{key_part}-{shade}"
    key, number = wanted, 2
    while key in taken:
        key, number = f"{wanted}-{number}", number + 1
    return SetUp(
        key=key,
        name=f"{printed.place}, {spelt}, on {shade}",
        place=printed.place,
        artwork=printed.artwork,
        size=size,
        colours=printed.colour,
        batches=batches,
        shade=shade,
    )
