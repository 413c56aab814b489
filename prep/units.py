"""The border where people write "0.1 in" and Firstpull reads 2.54.

Text comes in through the annotated types below (for settings models) or :func:`read_quantity`; inside
there are only plain floats whose names carry the unit. Numbers without a unit are refused where a
unit decides the meaning: 12 could be millimetres or inches, and a guess cuts the wrong film.
"""

from __future__ import annotations

import functools
import re
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BeforeValidator, PlainSerializer

if TYPE_CHECKING:
    import pint

_NUMBER_UNIT = re.compile(r"^\s*([+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")
_SPELLINGS = {
    "“": "in",
    '"': "in",
    "µm": "um",
    "μm": "um",
    "micron": "um",
    "microns": "um",
    "tpi": "1/in",
    "tpcm": "1/cm",
    "threads/cm": "1/cm",
    "threads/in": "1/in",
    "threads/inch": "1/in",
    "ft/min": "ft/min",
    "fl oz": "fluid_ounce",
    "floz": "fluid_ounce",
    "oz": "ounce",
    "pt": "(inch/72)",
    "point": "(inch/72)",
}
_DEGREES = {"c": "degC", "°c": "degC", "degc": "degC", "f": "degF", "°f": "degF", "degf": "degF"}


@functools.cache
def registry() -> pint.UnitRegistry[Any]:
    """Give the one unit registry, made at first use (it takes some 0.2 s)."""
    import pint

    return pint.UnitRegistry()


def read_quantity(text: str, unit: str, *, example: str, degrees: bool = False) -> float:
    """Read ``"0.1 in"`` as a number of ``unit``.

    :param text: number and unit as a person writes them; a decimal comma is taken
    :param unit: pint's name of the unit wanted
    :param example: a right spelling, for the message
    :param degrees: read C and F as temperatures
    :raises ValueError: no number, no unit, an unknown unit or one of another kind, inf or nan
    """
    import pint

    found = _NUMBER_UNIT.match(text)
    if found is None:
        raise ValueError(f'"{text}" has no number; write it like "{example}"')
    number, spelt = float(found[1].replace(",", ".")), found[2]
    if not spelt:
        raise ValueError(f'"{text}" has no unit; write it like "{example}"')
    if degrees:
        spelt = _DEGREES.get(spelt.lower(), spelt)
    spelt = _SPELLINGS.get(spelt, spelt)
    spelt = re.sub(r"(?<=[A-Za-z])([23])\b", r"**\1", spelt)  # mm2, cm3/m2
    if spelt.startswith("/"):
        spelt = "1" + spelt
    try:
        value = float(registry().Quantity(number, spelt).to(unit).magnitude)
    except pint.DimensionalityError as error:
        raise ValueError(f'"{text}" is not of the right kind; write it like "{example}"') from error
    except Exception as error:  # pint lets its tokenizer's and parser's errors through, of many kinds
        raise ValueError(f'"{text}" has an unknown unit; write it like "{example}"') from error
    if not abs(value) < 1e12:
        raise ValueError(f'"{text}" is not a usable number; write it like "{example}"')
    return value


def _reader(unit: str, example: str, *, above: float | None, degrees: bool = False) -> Any:
    def read(given: object) -> float:
        if not isinstance(given, str):
            raise ValueError(f'needs a number with its unit in quotes, like "{example}"')
        value = read_quantity(given, unit, example=example, degrees=degrees)
        if above is not None and not value > above:
            raise ValueError(f'"{given}" must be more than {above:g}; write it like "{example}"')
        return value

    return BeforeValidator(read)


def _not_negative(unit: str, example: str) -> Any:
    def read(given: object) -> float:
        if not isinstance(given, str):
            raise ValueError(f'needs a number with its unit in quotes, like "{example}"')
        value = read_quantity(given, unit, example=example)
        if value < 0:
            raise ValueError(f'"{given}" must not be negative; write it like "{example}"')
        return value

    return BeforeValidator(read)


def _writer(shown: str) -> Any:
    def write(value: float) -> str:
        return f"{value:.10g} {shown}".strip()

    return PlainSerializer(write, return_type=str)


def read_share(given: object) -> float:
    """Read ``"15 %"`` or ``0.15`` as 0.15.

    :raises ValueError: not a number, below 0 or above 1
    """
    if isinstance(given, bool) or not isinstance(given, str | int | float):
        raise ValueError('needs a share, like "15 %" or 0.15')
    if isinstance(given, str):
        found = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*(%?)\s*", given)
        if found is None:
            raise ValueError(f'"{given}" is not a share; write it like "15 %" or 0.15')
        value = float(found[1].replace(",", ".")) / (100.0 if found[2] else 1.0)
    else:
        value = float(given)
    if not 0.0 <= value <= 1.0:
        raise ValueError(f'"{given}" must lie between 0 and 100 %; write it like "15 %"')
    return value


_HEX = re.compile(r"#?([0-9a-fA-F]{6}|[0-9a-fA-F]{3})")


def read_hex(given: object) -> str:
    """Read ``#1F3A5F`` or ``#abc`` as a colour in lower case with six digits.

    :raises ValueError: anything else
    """
    found = _HEX.fullmatch(given.strip()) if isinstance(given, str) else None
    if found is None:
        raise ValueError(f'"{given}" is not a colour; write it like "#1f3a5f"')
    digits = found[1].lower()
    return "#" + (digits if len(digits) == 6 else "".join(2 * d for d in digits))


Length_mm = Annotated[float, _reader("mm", "280 mm", above=0.0), _writer("mm")]
"""A length above zero, read into millimetres."""
Allowance_mm = Annotated[float, _not_negative("mm", "0.35 mm"), _writer("mm")]
"""A length that may be zero, read into millimetres."""
Thickness_um = Annotated[float, _reader("um", "80 um", above=0.0), _writer("um")]
"""A thickness above zero, read into micrometres."""
Count_per_cm = Annotated[float, _reader("1/cm", "43/cm", above=0.0), _writer("/cm")]
"""A mesh count, read into threads per centimetre; "110 tpi" is taken too."""
Mass_g = Annotated[float, _reader("g", "250 g", above=0.0), _writer("g")]
"""A mass above zero, read into grams."""
Volume_ml = Annotated[float, _reader("ml", "500 ml", above=0.0), _writer("ml")]
"""A volume above zero, read into millilitres."""
Density_g_per_ml = Annotated[float, _reader("g/ml", "1.05 g/ml", above=0.0), _writer("g/ml")]
"""A density above zero, read into grams per millilitre."""
Coat_cm3_per_m2 = Annotated[float, _reader("cm^3/m^2", "53 cm3/m2", above=0.0), _writer("cm3/m2")]
"""A volume per area, read into cubic centimetres per square metre (= micrometres of film)."""
Temperature_c = Annotated[float, _reader("degC", "21 C", above=None, degrees=True), _writer("C")]
"""A temperature, read into degrees Celsius; "70 F" is taken too."""
Speed_m_per_s = Annotated[float, _not_negative("m/s", "0.1 m/s"), _writer("m/s")]
"""A speed that may be zero, read into metres per second."""
Duration_s = Annotated[float, _reader("s", "45 s", above=0.0), _writer("s")]
"""A duration above zero, read into seconds; "3 min" is taken too."""
Area_mm2 = Annotated[float, _reader("mm^2", "8 mm2", above=0.0), _writer("mm2")]
"""An area above zero, read into square millimetres."""
Share = Annotated[float, BeforeValidator(read_share)]
"""A share from 0 to 1, written "15 %" or 0.15."""
Hex = Annotated[str, BeforeValidator(read_hex)]
"""A colour ``#rrggbb`` in lower case."""
