"""The border where people write "0.1 in" and Firstpull reads 2.54.

Text comes in through the annotated types below (for settings models) or :func:`read_quantity`; inside
there are only plain floats whose names carry the unit. Numbers without a unit are refused where a
unit decides the meaning: 12 could be millimetres or inches, and a guess cuts the wrong film.

What is read keeps 12 significant digits, so that a value written out and read again is the same.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BeforeValidator, PlainSerializer

if TYPE_CHECKING:
    import pint

_DECIMAL = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?"
_FRACTION = r"(?:\d{1,6}(?:\s+|-))?\d{1,6}\s*/\s*\d{1,6}(?![\d.,])"  # 1/8, 11 1/2, 11-1/2
_QUANTITY = re.compile(
    rf"\s*(?:(?P<fraction>{_FRACTION})|(?P<decimal>{_DECIMAL}))\s*(?P<unit>.*?)\s*"
)
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d*)?")
_LONGEST = 60  # characters of a quantity

# Names are looked up here in lower case before pint sees them: how the trade writes them, and where
# pint takes them for something else (pt is a pint there, mil an angle, C a coulomb).
_SPELLINGS = {
    '"': "inch",
    "”": "inch",
    "″": "inch",
    "inches": "inch",
    "'": "foot",
    "′": "foot",
    "mil": "thou",
    "mils": "thou",
    "µ": "micrometer",
    "μ": "micrometer",
    "micron": "micrometer",
    "microns": "micrometer",
    "pt": "point",
    "oz": "ounce",
    "oz by weight": "ounce",
    "fl oz": "fluid_ounce",
    "fl. oz": "fluid_ounce",
    "floz": "fluid_ounce",
    "tpi": "1/inch",
    "tpcm": "1/centimeter",
    "thread/cm": "1/centimeter",
    "threads/cm": "1/centimeter",
    "threads per cm": "1/centimeter",
    "thread/in": "1/inch",
    "threads/in": "1/inch",
    "threads/inch": "1/inch",
    "threads per inch": "1/inch",
    # in any case: Mm would be a thousand kilometres
    **{name: name for name in ("mm", "cm", "um", "in", "inch", "ft", "g", "kg", "lb", "ml", "min")},
}
_LENGTHS = ("mm", "cm", "m", "um", "in", "ft", "yd", "mil", "pt")
_UNDERSTOOD = {
    "mm": _LENGTHS,
    "um": _LENGTHS,
    "g": ("mg", "g", "kg", "oz", "lb"),
    "ml": ("ml", "cl", "dl", "l", "cm3", "cc", "fl oz", "pint", "qt", "gal"),
    "s": ("s", "min", "h"),
    "1/cm": ("/cm", "/mm", "/in", "tpi"),
}
"""Units that are read, by the unit they are read into, where these can be counted up; pint knows far more,
and most of those were never meant: a print isn't measured in furlongs."""
_DEGREES = {"c": "degC", "°c": "degC", "degc": "degC", "f": "degF", "°f": "degF", "degf": "degF"}
_TERM = r"[A-Za-zµμ°_]+(?:(?:\^|\*\*)?-?[1-3]|[²³])?"
_UNIT = re.compile(rf"(?P<per>1?\s*/\s*)?{_TERM}(?:\s*[/*·]\s*{_TERM})*")
_NAME = re.compile(r"[A-Za-zµμ°_]+")
_EXPONENT = re.compile(r"(?<=[A-Za-zµμ°_])(?:\^|\*\*)?(-?[1-3])")


@functools.cache
def registry() -> pint.UnitRegistry[Any]:
    """Give the one unit registry, made at first use (pint and it take some 0.3 s)."""
    import pint

    return pint.UnitRegistry()


def read_quantity(text: str, unit: str, *, example: str, degrees: bool = False) -> float:
    """Read ``"0.1 in"`` as a number of ``unit``, rounded to 12 significant digits.

    :param text: number and unit as a person writes them; a decimal comma and fractions of an inch
        (``11 1/2 in``) are taken
    :param unit: pint's name of the unit wanted
    :param example: a right spelling, for the message
    :param degrees: read C and F as temperatures
    :raises ValueError: no number, no unit, an unknown unit or one of another kind, inf or nan
    """
    found = _QUANTITY.fullmatch(text) if len(text) <= _LONGEST else None
    if found is None:
        raise ValueError(f'"{text}" has no number; write it like "{example}"')
    if not found["unit"]:
        raise ValueError(f'"{text}" has no unit; write it like "{example}"')
    number = _number(found["fraction"], found["decimal"], text)
    spelt = _unit(found["unit"], degrees=degrees)
    understood = _UNDERSTOOD.get(unit, ())
    like = f'write it like "{example}"'
    if understood:
        like += f" (in {', '.join(understood[:-1])} or {understood[-1]})"
    if spelt is None:
        raise ValueError(f'"{text}" has an unknown unit; {like}')
    import pint

    try:
        quantity = registry().Quantity(number, spelt)
        value = float(quantity.to(unit).magnitude)
    except pint.UndefinedUnitError as error:
        raise ValueError(f'"{text}" has an unknown unit; {like}') from error
    except (pint.DimensionalityError, pint.OffsetUnitCalculusError) as error:
        do = _other_ounces(text.strip(), spelt, unit) or like
        raise ValueError(f'"{text}" is not of the right kind; {do}') from error
    if understood and quantity.units not in _pints_units(understood):
        raise ValueError(f'"{text}" has an unknown unit; {like}')
    if not abs(value) < 1e12:
        raise ValueError(f'"{text}" is not a usable number; write it like "{example}"')
    return _rounded(value)


def _other_ounces(text: str, spelt: str, unit: str) -> str:
    """Say how the ounces meant are written, where those of the other kind are given; else nothing."""
    if spelt in ("ounce", "ounces") and unit == "ml":
        right = re.sub(r"\s*(?:oz|ounces?)\b.*", " fl oz", text, flags=re.IGNORECASE)
        return f'that is a mass; fluid ounces are written "{right}"'
    if spelt == "fluid_ounce" and unit == "g":
        right = re.sub(r"\s*fl.*", " oz", text, flags=re.IGNORECASE)
        return f'that is a volume; ounces by weight are written "{right}"'
    return ""


@functools.cache
def _pints_units(spelt: tuple[str, ...]) -> frozenset[Any]:
    return frozenset(registry().Unit(_unit(one, degrees=False) or "") for one in spelt)


def _number(fraction: str | None, decimal: str, text: str) -> float:
    if fraction is not None:
        *whole, over, under = re.findall(r"\d+", fraction)
        if int(under) == 0:
            raise ValueError(f'"{text}" divides by zero')
        return (int(whole[0]) if whole else 0) + int(over) / int(under)
    if _THOUSANDS.fullmatch(decimal):
        # 1,000 mm is a metre to some and a millimetre to others
        raise ValueError(f'"{text}" can be read in two ways; write 1000 or 1.000 instead of 1,000')
    return float(decimal.replace(",", "."))


def _unit(spelt: str, *, degrees: bool) -> str | None:
    """Give pint's spelling of a unit; ``None`` when it can't be one."""
    spelt = " ".join(spelt.split())
    known = (_DEGREES if degrees else {}).get(spelt.lower()) or _SPELLINGS.get(spelt.lower())
    if known is not None:
        return known
    # pint reckons out whatever it is given, powers of powers included: let only plain units through
    found = _UNIT.fullmatch(spelt)
    if found is None:
        return None
    rest = spelt[found.end("per") :] if found["per"] else spelt
    rest = rest.replace("²", "2").replace("³", "3").replace("·", "*")
    raised = _EXPONENT.sub(r"**\1", rest)
    plain = _NAME.sub(lambda name: _SPELLINGS.get(name[0].lower(), name[0]), raised)
    return f"1/{plain}" if found["per"] else plain


def _rounded(value: float) -> float:
    return float(f"{value:.12g}")


def _reader(
    unit: str,
    example: str,
    *,
    above: float | None = None,
    at_least: float | None = None,
    degrees: bool = False,
    whole: bool = False,
) -> Any:
    def read(given: object) -> float:
        if not isinstance(given, str):
            raise ValueError(f'needs a number with its unit in quotes, like "{example}"')
        value = read_quantity(given, unit, example=example, degrees=degrees)
        if above is not None and not value > above:
            raise ValueError(f'"{given}" must be more than {above:g}; write it like "{example}"')
        if at_least is not None and not value >= at_least:
            raise ValueError(f'"{given}" must not be negative; write it like "{example}"')
        return round(value) if whole else value

    return BeforeValidator(read)


def _writer(shown: str) -> Any:
    def write(value: float) -> str:
        return f"{value:.12g}{shown}" if shown.startswith("/") else f"{value:.12g} {shown}"

    return PlainSerializer(write, return_type=str)


def read_share(given: object) -> float:
    """Read ``"15 %"`` or ``0.15`` as 0.15, rounded to 12 significant digits.

    :raises ValueError: not a number, below 0 or above 1
    """
    if isinstance(given, bool) or not isinstance(given, str | int | float):
        raise ValueError('needs a share, like "15 %" or 0.15')
    if isinstance(given, str):
        found = re.fullmatch(r"\s*(\d{1,20}(?:[.,]\d{1,20})?(?:[eE]-?\d{1,3})?)\s*(%?)\s*", given)
        if found is None:
            raise ValueError(f'"{given}" is not a share; write it like "15 %" or 0.15')
        value = float(found[1].replace(",", ".")) / (100.0 if found[2] else 1.0)
    else:
        value = float(given)
    if not 0.0 <= value <= 1.0:
        raise ValueError(f'"{given}" must lie between 0 and 100 %; write it like "15 %"')
    return _rounded(value)


def _write_share(value: float) -> str:
    # 12 digits of the share stay 12 digits of its hundredfold, so reading it again is exact
    return f"{value * 100:.12g} %"


_HEX = re.compile(r"#?([0-9a-fA-F]{6}|[0-9a-fA-F]{3})")


def read_hex(given: object) -> str:
    """Read ``#1F3A5F``, ``#abc`` or ``navy`` as a colour in lower case with six digits.

    :raises ValueError: anything else
    """
    found = _HEX.fullmatch(given.strip()) if isinstance(given, str) else None
    if found is None:
        named = _named_colour(given.strip()) if isinstance(given, str) else None
        if named is None:
            raise ValueError(
                f'"{given}" is not a colour; write it like "#1f3a5f", or as one of the colour names of'
                " CSS, like navy or darkgreen"
            )
        return named
    digits = found[1].lower()
    return "#" + (digits if len(digits) == 6 else "".join(2 * d for d in digits))


def _named_colour(name: str) -> str | None:
    """Give the colour that CSS calls so (CSS Color Level 4, 6.1); ``None`` if there is none."""
    if not (name.isascii() and name.isalpha()):
        return None
    from tinycss2 import color4

    colour = color4.parse_color(name)
    if not isinstance(colour, color4.Color) or colour.alpha != 1:
        return None  # currentcolor, transparent
    return "#" + "".join(f"{round(level * 255):02x}" for level in colour.coordinates)


@dataclass(frozen=True, slots=True)
class Measured:
    """Beside a type's reader: the unit that it reads into, for whoever asks a person for such a value.

    :param unit: ``mm``, ``um``, ``g``, ``C``, ``%`` ... as it is written out
    """

    unit: str


Length_mm = Annotated[float, _reader("mm", "280 mm", above=0.0), _writer("mm"), Measured("mm")]
"""A length above zero, read into millimetres."""
Allowance_mm = Annotated[
    float, _reader("mm", "0.35 mm", at_least=0.0), _writer("mm"), Measured("mm")
]
"""A length that may be zero, read into millimetres."""
Thickness_um = Annotated[float, _reader("um", "80 um", above=0.0), _writer("um")]
"""A thickness above zero, read into micrometres."""
Count_per_cm = Annotated[float, _reader("1/cm", "43/cm", above=0.0), _writer("/cm")]
"""A mesh count, read into threads per centimetre; "110 tpi" is taken too."""
Mass_g = Annotated[float, _reader("g", "250 g", above=0.0), _writer("g"), Measured("g")]
"""A mass above zero, read into grams."""
Weighed_g = Annotated[float, _reader("g", "250 g", at_least=0.0), _writer("g"), Measured("g")]
"""A mass that may be nothing: what is left of an ink."""
Volume_ml = Annotated[float, _reader("ml", "500 ml", above=0.0), _writer("ml")]
"""A volume above zero, read into millilitres."""
Density_g_per_ml = Annotated[float, _reader("g/ml", "1.05 g/ml", above=0.0), _writer("g/ml")]
"""A density above zero, read into grams per millilitre."""
Coat_cm3_per_m2 = Annotated[float, _reader("cm^3/m^2", "53 cm3/m2", above=0.0), _writer("cm3/m2")]
"""A volume per area, read into cubic centimetres per square metre (= micrometres of film)."""
Temperature_c = Annotated[float, _reader("degC", "21 C", degrees=True), _writer("C"), Measured("C")]
"""A temperature, read into degrees Celsius; "70 F" is taken too."""
Speed_m_per_s = Annotated[float, _reader("m/s", "0.1 m/s", at_least=0.0), _writer("m/s")]
"""A speed that may be zero, read into metres per second."""
Duration_s = Annotated[float, _reader("s", "45 s", above=0.0), _writer("s")]
"""A duration above zero, read into seconds; "3 min" is taken too."""
Area_mm2 = Annotated[float, _reader("mm^2", "8 mm2", above=0.0), _writer("mm2")]
"""An area above zero, read into square millimetres."""
Turn_deg = Annotated[float, _reader("degree", "0.1 deg", at_least=0.0), _writer("deg")]
"""A small turn, which may be zero, read into degrees."""
Memory_mb = Annotated[int, _reader("megabyte", "2048 MB", above=0.0, whole=True), _writer("MB")]
"""An amount of memory, read into whole megabytes; "2 GB" is taken too."""
Share = Annotated[
    float,
    BeforeValidator(read_share),
    PlainSerializer(_write_share, return_type=str),
    Measured("%"),
]
"""A share from 0 to 1, written "15 %" or 0.15."""
Hex = Annotated[str, BeforeValidator(read_hex)]
"""A colour ``#rrggbb`` in lower case, read from that or from a colour name of CSS."""
