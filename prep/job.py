"""The job: one set-up with everything known about it, frozen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol, TypeVar

from prep.artwork import Artwork
from prep.digest import digest_of
from prep.findings import Finding
from prep.order import Order, SetUp
from prep.screens import DesignRegion, Mark, Screen
from prep.sections import Section
from prep.separations import Separation
from prep.shop import Shop
from prep.tables import Table

T = TypeVar("T")
Model = TypeVar("Model", bound=Table)


class Ask(Protocol):
    """How a plugin asks another: ``figures = ask(MeshFigures)``."""

    def __call__(self, question: type[T]) -> T:
        """Give the answer.

        :raises prep.errors.Unanswered: nobody answers, the answerer failed, or it doesn't apply
        """
        ...


class ReadSettings(Protocol):
    """How a settings table is read: ``table = settings(Model)``."""

    def __call__(self, model: type[Model], colour: str | None = None) -> Model:
        """Give a table, for one colour or for the whole job."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """Settings in force for one set-up, plugins' tables included.

    :param tables: model -> its instance
    :param by_colour: (model, colour) -> its instance, for plugins' tables per colour
    :param origins: ``ink.reserve`` -> where its value came from: ``default``, ``shop.toml`` ...
    :param by_place: (place, model, colour) -> its instance, for plugins' tables of colours of all prints
    """

    tables: Mapping[type[Table], Table]
    by_colour: Mapping[tuple[type[Table], str], Table] = field(default_factory=dict)
    origins: Mapping[str, str] = field(default_factory=dict)
    by_place: Mapping[tuple[str, type[Table], str], Table] = field(default_factory=dict)

    def get_at(self, model: type[Model], place: str, colour: str) -> Model:
        """Give a table for a colour of the print at a place; its defaults where nothing is set."""
        found = self.by_place.get((place, model, colour))
        return found if isinstance(found, model) else model()

    def get(self, model: type[Model], colour: str | None = None) -> Model:
        """Give a table, for one colour or for the whole job; its defaults where nothing is set."""
        found = self.tables.get(model) if colour is None else self.by_colour.get((model, colour))
        if found is None:
            return model()
        if not isinstance(found, model):
            raise TypeError(f"settings hold {type(found).__name__} for {model.__name__}")
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """One set-up on its way from artwork to prep sheet.

    :param order: the whole order
    :param setup: the part of it this job prints
    :param separations: what shows of each colour of the artwork
    :param drawn: the separations that get a screen, colours joined, measured
    :param design: the same after asked-for changes, measured
    :param screens: what is made, in print order, measured
    :param notes: what was assumed or must be known, whole sentences
    :param without: plugins left out on request
    """

    order: Order
    setup: SetUp
    artwork: Artwork
    separations: tuple[Separation, ...]
    drawn: tuple[DesignRegion, ...]
    design: tuple[DesignRegion, ...]
    screens: tuple[Screen, ...]
    shop: Shop
    chosen: Chosen
    notes: tuple[str, ...] = ()
    without: tuple[str, ...] = ()

    def settings(self, model: type[Model], colour: str | None = None) -> Model:
        """Give a plugin's settings table, for one colour or for the whole job."""
        return self.chosen.get(model, colour)

    @property
    def origins(self) -> Mapping[str, str]:
        """Key of a setting -> layer it came from, to refuse settings with their place."""
        return self.chosen.origins

    @property
    def films(self) -> tuple[tuple[Screen, ...], ...]:
        """The films cut: for each the screens printed through it, in print order."""
        shared: dict[str, list[Screen]] = {}
        for screen in self.screens:
            shared.setdefault(screen.film, []).append(screen)
        return tuple(tuple(screens) for screens in shared.values())

    @property
    def garment_colours(self) -> tuple[str, ...]:
        """The garments' colours, each once: for what doesn't rest on how many there are."""
        return tuple(dict.fromkeys(batch.colour for batch in self.setup.batches))

    def screen(self, key: str) -> Screen:
        """Give the screen with this key.

        :raises KeyError: no such screen
        """
        for screen in self.screens:
            if screen.key == key:
                return screen
        raise KeyError(key)

    def digest(self) -> str:
        """Digest of everything in it."""
        return digest_of(
            (
                self.order,
                self.setup,
                self.artwork,
                self.drawn,
                self.design,
                self.screens,
                self.shop,
                dict(self.chosen.tables),
                {f"{m.__qualname__} {c}": t for (m, c), t in self.chosen.by_colour.items()},
                self.notes,
                self.without,
            )
        )


@dataclass(frozen=True, slots=True)
class Report:
    """A job with what the plugins said of it.

    :param lacking: what the sheet can't say and why, whole sentences
    """

    job: Job
    marks: tuple[Mark, ...]
    findings: tuple[Finding, ...]
    sections: tuple[Section, ...]
    lacking: tuple[str, ...] = ()
