"""How many screens more a drawing takes whose translucent shapes are made solid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from prep.artwork import PrintSize
from prep.errors import ArtworkRefused, PrepError, Reason
from prep.separations import separate
from prep.svg import ReadingOptions, read_svg
from prep.svg.features import FEATURES

LEAD = "made solid on a garment of "
"""How the count begins, among the reasons of a refusal."""
_COUNTED = 500
"""Translucent elements; more are more than anyone prints, and long to read again."""
_NAMED = 6


def with_screens_of_tints(
    refused: ArtworkRefused,
    data: bytes,
    name: str,
    size: PrintSize,
    options: ReadingOptions,
    garment: str,
) -> ArtworkRefused:
    """Add to a refusal what making the drawing's tints solid would come to, on one garment.

    Colours differ from garment to garment, and so may their number where two of them happen to be the
    same; the reason added names the garment's colour.

    :param refused: why the drawing isn't read as it is
    :param name: of the file, for messages
    :param garment: its colour, ``#rrggbb``
    :return: the same refusal where it has other grounds than translucent paint, where too much is
        translucent, or where the tints can't be counted
    """
    translucent = FEATURES["translucent"].what
    if (
        options.solid_tints_on is not None
        or len(refused.reasons) > _COUNTED
        or any(reason.what != translucent for reason in refused.reasons)
    ):
        return refused
    solid = replace(options, solid_tints_on=garment)
    try:
        artwork = read_svg(data, name=name, size=size, options=solid)
        shown = [one.colour for one in separate(artwork)]
    except ArtworkRefused as still:
        return ArtworkRefused((*refused.reasons, *still.reasons), where=name)
    except PrepError:
        return refused
    new = [colour for colour in shown if colour in artwork.tints and colour != garment]
    return ArtworkRefused((*refused.reasons, _counted(new, garment)), where=name)


def _counted(new: Sequence[str], garment: str) -> Reason:
    lead = f"{LEAD}{garment}, what is translucent comes to"
    if not new:
        return Reason("", f"{lead} no new colour", "solid_tints takes no more screens there")
    colours = "1 new colour" if len(new) == 1 else f"{len(new)} new colours"
    screens = "1 more ink and screen" if len(new) == 1 else f"{len(new)} more inks and screens"
    named = ", ".join(new[:_NAMED]) + (", ..." if len(new) > _NAMED else "")
    return Reason("", f"{lead} {colours} ({named})", f"with solid_tints, reckon with {screens}")
