"""What was asked for on the command line or on the page, before anything is read."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Request:
    """One order to work on, and what the command line says on top of its files.

    Nothing is checked here: :func:`prep.settings.load` reads and checks it all.

    :param source: an artwork (``.svg``, ``.svgz``), or an order (``.toml``) that names its artworks
    :param order: the order an artwork given as ``source`` belongs to
    :param shop: the shop's file; ``None`` = ``shop.toml`` beside the order or artwork, if there is one
    :param width: as written, like ``280 mm``
    :param height: as written
    :param shirts: how many
    :param counts: (garment's place in the order from 0, size, how many), in place of what is asked for
    :param garment: colour of the garment as written, like ``#203040`` or ``navy``
    :param printed_as: (colour, other colour it is printed as), in place of all that is said of the first
    :param sets: settings as written, like ``ink.reserve=15%``
    :param without: names of plugins left out
    :param solid_tints: translucent colours are printed solid
    :param no_proof: what is read is not compared with the drawing
    """

    source: Path
    order: Path | None = None
    shop: Path | None = None
    width: str | None = None
    height: str | None = None
    shirts: int | None = None
    counts: tuple[tuple[int, str, int], ...] = ()
    garment: str | None = None
    printed_as: tuple[tuple[str, str], ...] = ()
    sets: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    solid_tints: bool = False
    no_proof: bool = False

    @property
    def job_name(self) -> str:
        """Name of the job: its file's, or its folder's where the file is just called order.toml."""
        if self.source.stem == "order" and self.source.absolute().parent.name:
            return self.source.absolute().parent.name
        return self.source.stem or "job"
