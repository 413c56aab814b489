"""Reads what is typed to ``prep mix``: an amount, parts, additives, what is in already."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from prep.errors import InputError
from prep.units import read_quantity, read_share
from prep_mix.recipes import Wish
from prep_mix.settings import USUAL
from prep_mix.shares import By

T = TypeVar("T")
_LONGEST_NAME = 80
MOST = 1e5
"""Most that is weighed out at once, in g or ml. Our choice."""
_NUMBER = re.compile(r"\d{1,9}(?:[.,]\d{1,9})?")


@dataclass(frozen=True, slots=True)
class Amount:
    """How much is to be mixed: grams or millilitres."""

    by: By
    value: float


def read_amount(text: str) -> Amount:
    """Read ``250 g``, ``8 oz``, ``250 ml`` or ``8 fl oz``.

    :raises InputError: it is neither a mass nor a volume, or nothing
    """
    do = 'write a mass like "250 g" or "8 oz", or a volume like "250 ml" or "8 fl oz"'
    units: tuple[tuple[By, str], ...] = (("mass", "g"), ("volume", "ml"))
    problem = ""
    for by, unit in units:
        try:
            value = read_quantity(text, unit, example="250 g")
        except ValueError as error:
            problem = str(error).partition("; ")[0]
            continue
        if not value > 0:
            raise InputError("there is nothing to mix", where=text, do=do)
        if value > MOST:
            most = "100 kg" if by == "mass" else "100 l"
            raise InputError(
                f"is more than {most}, the most that is weighed out",
                where=text,
                do="check the unit, or mix it in several batches",
            )
        return Amount(by, value)
    raise InputError(problem.replace("is not of the right kind", "is no amount to mix"), do=do)


def read_by(text: str) -> By:
    """Read what parts are measured by.

    :raises InputError: something else
    """
    if text == "mass":
        return "mass"
    if text == "volume":
        return "volume"
    raise InputError("parts are by mass or by volume", where=f"--by {text}", do="say one of them")


def read_parts(texts: Iterable[str]) -> dict[str, float]:
    """Read ``clear base=94``.

    :raises InputError: no number, a part twice, or all of them 0
    """

    def number(text: str) -> float:
        if _NUMBER.fullmatch(text) is None or not math.isfinite(
            value := float(text.replace(",", "."))
        ):
            raise ValueError(f'"{text}" is no number of parts; write 0 or more, like 94')
        return value

    parts = _each("--part", texts, number, example="clear base=94")
    if parts and not any(parts.values()):
        raise InputError(
            "the parts are all 0", where="--part", do="give one part or more that is above 0"
        )
    return parts


def read_additives(texts: Iterable[str]) -> tuple[Wish, ...]:
    """Read ``retarder=2.5 %``, or ``retarder`` for its usual share.

    :raises InputError: no share, or an additive twice
    """
    given = [text if "=" in text else f"{text}={USUAL}" for text in texts]

    def share(text: str) -> float | str:
        if text == USUAL:
            return USUAL
        value = read_share(text)
        if not value > 0:
            raise ValueError("0 % adds nothing; leave it out")
        return value

    found = _each("--add", given, share, example="retarder=2.5 %")
    typed = dict(zip(found, texts, strict=True))
    return tuple(
        Wish(name, share, "", f"--add {typed[name]}", on_top=True) for name, share in found.items()
    )


def read_already(texts: Iterable[str]) -> dict[str, float]:
    """Read ``retarder=2 g``.

    :raises InputError: no mass, or a name twice
    """

    def mass(text: str) -> float:
        value = read_quantity(text, "g", example="2 g")
        if value < 0:
            raise ValueError(f'"{text}" must not be negative; write it like "2 g"')
        return value

    return _each("--already", texts, mass, example="retarder=2 g")


def check_name(name: str, where: str) -> None:
    """Refuse a name that can't stand in a table.

    :raises InputError: it is longer than those of settings, or holds control signs
    """
    if len(name) > _LONGEST_NAME or not name.isprintable():
        raise InputError(
            f"a name must be plain text on one line of at most {_LONGEST_NAME} letters",
            where=where,
            do="shorten it",
        )


def _each(
    option: str, texts: Iterable[str], read: Callable[[str], T], *, example: str
) -> dict[str, T]:
    found: dict[str, T] = {}
    for text in texts:
        name, equals, value = (part.strip() for part in text.rpartition("="))
        where = f"{option} {text}"
        if not (name and equals and value):
            raise InputError("is not NAME=AMOUNT", where=where, do=f'write it like "{example}"')
        check_name(name, where)
        if name in found:
            raise InputError(f"{name} is given twice", where=where, do="give it once")
        try:
            found[name] = read(value)
        except ValueError as error:
            what, _, do = str(error).partition("; ")
            raise InputError(what, where=where, do=do) from error
    return found
