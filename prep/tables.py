"""The base of every settings table, core's and plugins'."""

from __future__ import annotations

import unicodedata
from datetime import date
from typing import Annotated, Any, Generic, Self, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

T = TypeVar("T")


def _on_one_line(name: str) -> str:
    if any(unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") for sign in name):
        raise ValueError("must be plain text on one line")
    return name


Label = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_on_one_line)]
"""A name somebody gives to a thing: an ink, a mesh, a place, a size."""


NAMES_IN = "names_in"
"""Key of a field's ``json_schema_extra``: the list of shop.toml, like ``["mix", "additive"]``, that names
which keys its table may have. For whoever makes forms of models."""


OF_SHOP_ONLY = "of_shop_only"
"""Key of a field's ``json_schema_extra``: true where it speaks of this machine, like the path of a file. An
order, which may come from anybody, has no say in it, and orders are written without it."""


class Table(BaseModel):
    """A table of shop.toml or order.toml: frozen, and no key that isn't declared.

    A field whose Python name carries a unit takes its plain TOML key as alias:
    ``width_mm: Length_mm = Field(280.0, alias="width")``. A default is the value as read, a number of
    that unit: it isn't parsed, so a table of defaults costs no start of pint. A plugin's table has a
    default for every key.
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        str_strip_whitespace=True,
        validate_default=False,
        allow_inf_nan=False,
    )


def of_shop_only(model: type[Table] | None) -> tuple[str, ...]:
    """Give the TOML keys of a table's fields that are marked by :data:`OF_SHOP_ONLY`."""
    if model is None:
        return ()
    return tuple(
        field.alias or name
        for name, field in model.model_fields.items()
        if isinstance(field.json_schema_extra, dict) and field.json_schema_extra.get(OF_SHOP_ONLY)
    )


def bare(given: Any) -> Any:
    """Read a bare value as one without a range of its own; to stand before :class:`Measured`."""
    return given if isinstance(given, dict | Table) else {"value": given}


def _day(given: Any) -> Any:
    if isinstance(given, str):
        try:
            return date.fromisoformat(given)
        except ValueError as error:
            raise ValueError(f'"{given}" is no day; write it like 2026-03-04') from error
    return given


Day = Annotated[date, BeforeValidator(_day)]
"""A day as TOML has it, or its text."""


def measured_source(measured_on: date | None, n: int | None, stated: str = "shop.toml") -> str:
    """Say where a figure the shop has measured comes from.

    >>> measured_source(None, None), measured_source(date(2026, 11, 29), 6)
    ('stated in shop.toml', 'measured here on 2026-11-29, n = 6')
    """
    if measured_on is None:
        return f"stated in {stated}"
    return f"measured here on {measured_on.isoformat()}{'' if n is None else f', n = {n}'}"


class Measured(Table, Generic[T]):
    """A figure the shop has measured: the value alone, or ``{ value, low, high }``.

    ``low`` and ``high`` are the bounds it lies between eight times in ten; left out, 10 % each way.
    ``measured_on`` and ``n`` say when, and by how many readings, where that is known.
    """

    value: T
    low: T | None = None
    high: T | None = None
    measured_on: Day | None = None
    n: int | None = Field(None, ge=1)

    @property
    def source(self) -> str:
        """Where it comes from, in words."""
        return measured_source(self.measured_on, self.n)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        bounds: list[Any] = [b for b in (self.low, self.value, self.high) if b is not None]
        if bounds != sorted(bounds):
            raise ValueError("low must not lie above value, nor value above high")
        return self
