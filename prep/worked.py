"""Figures with how they are worked out: the formula in words, with a job's values, and their sources.

One formula makes both lines, so that they can't say different things; :func:`prep.testing.reckoned` works
the second one out again.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from prep.sections import Block, Paragraph, Section, Table

if TYPE_CHECKING:
    from prep.estimate import Parameter
    from prep.tables import Table as Settings

Standing = Literal[
    "published",
    "from memory",
    "common practice",
    "guess",
    "measured here",
    "stated",
    "usual",
    "from the artwork",
    "from the order",
    "worked out",
]
"""What a value stands on. ``stated``: by shop or order; ``worked out``: another figure of the job."""

NO_SOURCE = "common practice, no source"
RANK = 92
_DIGITS = 5
_FORMULAS = 0, 1
_KEY = re.compile(r"\{(\w+)\}")
_MM_PER_INCH = 25.4


def number(value: float) -> str:
    """Write a number to five significant digits, without an exponent.

    >>> number(385.2), number(0.0123456), number(123456.7), number(-0.0), number(-2.5)
    ('385.2', '0.012346', '123457', '0', '−2.5')
    """
    if not value:
        return "0"
    places = max(0, _DIGITS - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", "−")


@dataclass(frozen=True, slots=True)
class Given:
    """A value that goes into a figure, in the unit it is shown in.

    :param words: what it is, as the formula names it
    :param unit: plain text, empty for a bare number
    :param source: where it comes from; empty where ``status`` says it all
    :param low: with ``high`` its 10-90 % range, where it has one
    """

    words: str
    value: float
    unit: str
    status: Standing
    source: str = ""
    low: float | None = None
    high: float | None = None

    @property
    def text(self) -> str:
        """The value with its unit."""
        return f"{number(self.value)} {self.unit}".strip()

    @property
    def range_text(self) -> str:
        """The value with its range."""
        if self.low is None or self.high is None:
            return self.text
        return (
            f"{number(self.value)} ({number(self.low)} to {number(self.high)}) {self.unit}".strip()
        )


@dataclass(frozen=True, slots=True)
class Worked:
    """A figure and how it is worked out.

    :param name: of the figure, as the sheet has it
    :param formula: arithmetic of ``{key}`` and numbers with ``+ − × ÷ √ ( )``, ``larger of (a; b)``,
        ``smaller of (a; b)``, ``whole part of (a)`` and ``rounded up (a)``; or a plain sentence, where
        ``counted``
    :param given: key -> value, each used in the formula
    :param value: the figure as the plugin reckons it
    :param said: the figure as the sheet says it, where it is rounded or put otherwise; where it is
        ``counted``, what stands for it
    :param holds: range in which the formula holds
    :param source: of the formula
    :param of: what it is the figure of, such as ``screen 1``
    :param counted: found by trying or counting, which no line of arithmetic repeats
    :raises ValueError: a value that the formula doesn't use, or one that it lacks
    """

    name: str
    formula: str
    given: Mapping[str, Given]
    value: float
    unit: str
    said: str = ""
    holds: str = ""
    source: str = NO_SOURCE
    of: str = ""
    counted: bool = False

    def __post_init__(self) -> None:
        """Check that formula and values fit."""
        used = set(_KEY.findall(self.formula))
        if used - set(self.given) or (set(self.given) - used and not self.counted):
            odd = sorted(used ^ set(self.given))
            raise ValueError(f"{self.name}: formula and values differ in {odd}")

    @property
    def in_words(self) -> str:
        """The formula with each value's words, in brackets that tell them apart."""
        return _KEY.sub(lambda key: f"[{self.given[key[1]].words}]", self.formula)

    @property
    def with_numbers(self) -> str:
        """The formula with each value as a bare number."""
        return _KEY.sub(lambda key: number(self.given[key[1]].value), self.formula)

    @property
    def with_values(self) -> str:
        """The formula with this job's values, and what comes of it."""
        result = f"{number(self.value)} {self.unit}".strip()
        worked = _KEY.sub(lambda key: self.given[key[1]].text, self.formula)
        told = f"; told as {self.said}" if self.said and self.said != result else ""
        if self.counted:
            return f"{self.said or result}: {worked}" if self.given else self.said or result
        return f"{worked} = {result}{told}"


def length_given(words: str, mm: float, units: str, status: Standing, source: str = "") -> Given:
    """Give a length in the shop's units."""
    if units == "inch":
        return Given(words, mm / _MM_PER_INCH, "in", status, source)
    return Given(words, mm, "mm", status, source)


def in_units(mm: float, units: str) -> tuple[float, str]:
    """Give a length as a number and the shop's unit."""
    return (mm / _MM_PER_INCH, "in") if units == "inch" else (mm, "mm")


def parameter_given(words: str, parameter: Parameter) -> Given:
    """Give a parameter of a model with its range."""
    return Given(
        words,
        parameter.default,
        parameter.unit,
        parameter.status,
        parameter.source,
        parameter.low,
        parameter.high,
    )


def standing(
    table: Settings, field: str, where: str, usual: Standing, source: str
) -> tuple[Standing, str]:
    """Give status and source of a setting: stated where it isn't what it is by itself.

    :param where: its name in the file, like ``squeegee.to_frame in shop.toml``
    :param usual: status of its default, and ``source`` of that
    """
    default = type(table).model_fields[field].get_default(call_default_factory=True)
    return ("stated", where) if getattr(table, field) != default else (usual, source)


def section_of(title: str, worked: Iterable[Worked], *more: str) -> Section:
    """Give the section that tells how figures are worked out, for the page and not for paper.

    :param more: sentences that stand ahead
    """
    return Section("why", title, tuple(_blocks(tuple(worked), more)), RANK)


def _blocks(worked: tuple[Worked, ...], more: tuple[str, ...]) -> Iterator[Block]:
    yield from map(Paragraph, more)
    formulas = {(one.name, one.in_words, one.holds, one.source): None for one in worked}
    if not formulas:
        return
    yield Table(
        ("Figure", "How it is worked out", "Range in which it holds", "Source"),
        tuple(formulas),
        literal=_FORMULAS,
    )
    here = {
        (f"{one.name}, {one.of}" if one.of else one.name, one.with_values): None for one in worked
    }
    yield Table(("Figure", "With this job's values"), tuple(here), literal=_FORMULAS)
    values: dict[tuple[str, str, str], dict[str, None]] = {}
    for one in worked:
        for given in one.given.values():
            key = given.words, given.status, given.source
            values.setdefault(key, {}).setdefault(given.range_text)
    rows = tuple(
        (words, "; ".join(texts), status, source)
        for (words, status, source), texts in values.items()
    )
    if rows:
        yield Table(("What goes in", "Value (range)", "Status", "Source"), rows)
