"""Where the plugins' own settings stand among the core's, and which names they can't have."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from pydantic import ValidationError

from prep.errors import PluginFailed
from prep.hookspecs import SettingsTables
from prep.order import ColourChoice, Order, Print
from prep.refusals import keys_of
from prep.shop import Shop
from prep.tables import Table

Kind = Literal["order", "shop", "colour"]

TOP_KEYS = frozenset({*keys_of(Order), *keys_of(Shop), "shop", "colour"})
"""Keys of the core and of ``--set`` that no plugin's table can have."""


@dataclass(frozen=True, slots=True)
class PluginTables:
    """The plugins' tables as read.

    :param left_out: names whose tables nobody reads
    :param named: (plugin's name, order or shop) -> table
    :param by_colour: (number of the print, colour, plugin's name) -> table
    """

    left_out: tuple[str, ...]
    named: dict[tuple[str, Kind], Table] = field(default_factory=dict)
    by_colour: dict[tuple[int, str, str], Table] = field(default_factory=dict)


def check_declared(tables: Mapping[str, SettingsTables]) -> None:
    """Check that the plugins' tables can be told from the core's and from each other.

    :raises PluginFailed: a name that is taken, a model declared twice, a key without a default
    """
    known: dict[type[Table], str] = {}
    for name, models in tables.items():
        if name in TOP_KEYS.union(keys_of(Print)) and (models.shop or models.order):
            raise PluginFailed(name, f"its settings table [{name}] has the name of a core setting")
        if models.colour and name in keys_of(ColourChoice):
            raise PluginFailed(
                name, f"its table [print.colour.{name}] has the name of a core setting"
            )
        for model in (models.shop, models.order, models.colour):
            if model is None:
                continue
            if not (isinstance(model, type) and issubclass(model, Table)):
                raise PluginFailed(name, f"declares {model!r}, which is no settings table")
            if model in known:
                raise PluginFailed(name, f"declares {model.__name__}, and so does {known[model]}")
            known[model] = name
            _check_defaults(name, model)


def _check_defaults(name: str, model: type[Table]) -> None:
    try:
        model()
    except ValidationError as error:
        key = ".".join(str(part) for part in error.errors()[0]["loc"])
        raise PluginFailed(
            name, f"its settings {model.__name__} lack a default of {key}"
        ) from error
