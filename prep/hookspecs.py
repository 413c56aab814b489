"""Every hook a plugin may implement.

A plugin is a module named in the entry-point group ``prep.plugins``. It marks functions with
:data:`hookimpl`, takes only the arguments it needs, reads and yields, and changes nothing. Its module
imports nothing heavy at the top: numpy, shapely, pydantic and pint are imported inside the functions.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pluggy

if TYPE_CHECKING:
    import typer

    from prep.findings import Finding
    from prep.job import Ask, Job, ReadSettings, Report
    from prep.order import SetUp
    from prep.screens import AddScreen, Delta, DesignEdit, DesignRegion, Mark, PrintOrder
    from prep.sections import Document, Section
    from prep.shop import Shop
    from prep.tables import Table
    from prep.views import View

GROUP = "prep.plugins"
hookspec = pluggy.HookspecMarker("prep")
hookimpl = pluggy.HookimplMarker("prep")


@dataclass(frozen=True, slots=True)
class SettingsTables:
    """Models of a plugin's settings; its table's name is its entry-point name.

    :param shop: read from ``[NAME]`` in shop.toml
    :param order: read from ``[NAME]`` in order.toml
    :param colour: read from ``[print.colour.NAME]`` in order.toml
    """

    shop: type[Table] | None = None
    order: type[Table] | None = None
    colour: type[Table] | None = None


@hookspec(firstresult=True)
def prep_settings() -> SettingsTables | None:
    """Declare settings tables. Called before shop.toml and order.toml are read."""


@hookspec(firstresult=True)
def prep_learnt(own: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Give what was measured here, in the shape of shop.toml: ``{"ink": {"transfer": {...}}}``.

    It is laid over the defaults and under what shop.toml, order.toml and the command line say: what is
    stated there takes the place of the whole figure. A figure that names a ``mesh`` or an ``ink`` that
    neither shop nor order has is left out, and a note says so. Called each time settings are read.

    :param own: the plugin's own table of shop.toml as it is written, unchecked; empty where there is none
    """


@hookspec(firstresult=True)
def prep_answers() -> Mapping[type[Any], Callable[[Job, Ask], Any]] | None:
    """Say which questions this plugin answers.

    Gives ``{type: function(job, ask)}``; the function returns an instance of the type, or raises
    :class:`prep.errors.Unanswered` when the question doesn't apply. Called once a session.
    """


@hookspec(firstresult=True)
def prep_design(
    design: tuple[DesignRegion, ...], settings: ReadSettings, setup: SetUp, shop: Shop
) -> Iterable[DesignEdit] | None:
    """Change the design before screens are made: join colours, thicken what is too fine.

    :param design: the separations, measured
    :param settings: ``settings(Model)`` gives a settings table
    :param setup: what is printed on what
    """


@hookspec(firstresult=True)
def prep_screens(job: Job, ask: Ask) -> Iterable[AddScreen] | None:
    """Add screens: a base, a second hit. ``job.screens`` holds one screen for each colour.

    An answer that goes by the design alone is found once, and holds for the job as made, too.
    """


@hookspec(firstresult=True)
def prep_order(job: Job) -> PrintOrder | None:
    """Give the order of printing, from the design regions only; at most one plugin may answer."""


@hookspec(firstresult=True)
def prep_deltas(job: Job) -> Iterable[Delta] | None:
    """Add to and take from regions of screens; ``job.screens`` are in print order by now."""


@hookspec(firstresult=True)
def prep_marks(job: Job, ask: Ask) -> Iterable[Mark] | None:
    """Give what is cut beside the image, the same on every screen. Asked once for a job."""


@hookspec(firstresult=True)
def prep_findings(job: Job, marks: tuple[Mark, ...], ask: Ask) -> Iterable[Finding] | None:
    """Say which details will fail, may fail or are worth knowing."""


@hookspec(firstresult=True)
def prep_sections(
    job: Job, marks: tuple[Mark, ...], findings: tuple[Finding, ...], ask: Ask
) -> Iterable[Section] | None:
    """Give parts of the sheet: tables, pictures, check lists, cautions."""


@hookspec(firstresult=True)
def prep_documents(report: Report, ask: Ask) -> Iterable[Document] | None:
    """Give files of one set-up's folder as names and bytes; the core writes them."""


@hookspec(firstresult=True)
def prep_order_sections(
    jobs: tuple[Job, ...], ask: Callable[[Job], Ask]
) -> Iterable[Section] | None:
    """Give parts of the page over all set-ups, of the chapter ``job`` or ``why``.

    Called only when there are several.

    :param jobs: in the order of the set-ups, which are numbered from 1 on the page
    :param ask: ``ask(job)(Type)`` asks about one of them
    """


@hookspec(firstresult=True)
def prep_order_documents(
    reports: tuple[Report, ...], sections: tuple[Section, ...]
) -> Iterable[Document] | None:
    """Give files over all set-ups of an order. Called only when there are several.

    :param sections: of the page over all set-ups
    """


@hookspec(firstresult=True)
def prep_views() -> Iterable[View] | None:
    """Give what is shown and taken in beside the orders; asked once, before anything is looked at."""


@hookspec(firstresult=True)
def prep_commands(app: typer.Typer) -> None:
    """Add subcommands of the ``prep`` command. Must not import numpy, shapely or pydantic."""
