"""Numbers, lengths, transforms and view boxes as SVG and CSS write them.

Sources: SVG 2, W3C Candidate Recommendation 2018, chapters 8 (coordinate systems) and 9 (paths);
CSS Values and Units Level 3 for absolute units (1 in = 96 px = 25.4 mm); CSS Transforms Level 1 for
the list of transform functions.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

Matrix = tuple[float, float, float, float, float, float]
"""a, b, c, d, e, f of SVG: x' = a x + c y + e, y' = b x + d y + f."""

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
MM_PER_PX = 25.4 / 96

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*(%|[A-Za-z]*)\s*\Z")
_NUMBERS = re.compile(rf"\s*({_NUMBER})(?:\s*,\s*|\s+|(?=[-+.])|\Z)")
_FUNCTION = re.compile(r"\s*,?\s*([A-Za-z]+[A-Za-z0-9]*)\s*\(([^()]*)\)\s*")
_ARGUMENT = re.compile(rf"\s*({_NUMBER})\s*([A-Za-z%]*)(?:\s*,\s*|\s+|(?=[-+.])|\Z)")

_CSS_NUMBER = r"[-+]?(?:\d*\.)?\d+(?:[eE][-+]?\d+)?"
_CSS_ARGUMENT = rf"\s*{_CSS_NUMBER}[A-Za-z%]*\s*"
_CSS_TRANSFORM = re.compile(
    rf"(?:\s*[A-Za-z][A-Za-z0-9]*\({_CSS_ARGUMENT}(?:,{_CSS_ARGUMENT})*\))+\s*\Z"
)
_SVG_FUNCTIONS = frozenset(("matrix", "translate", "scale", "rotate", "skewX", "skewY"))
_DEEP = frozenset(
    (
        *("matrix3d", "translate3d", "translateZ", "scale3d", "scaleZ", "rotate3d", "rotateX"),
        *("rotateY", "rotateZ", "perspective"),
    )
)
_CSS_NAMES = {
    name.lower(): name
    for name in (
        *(*_SVG_FUNCTIONS, *_DEEP),
        *("translateX", "translateY", "scaleX", "scaleY", "skew"),
    )
}
Arguments = list[tuple[float, str]]
"""Arguments of a transform function: number, and unit in lower case."""

PX_PER_UNIT = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": 96 / 2.54,
    "mm": 96 / 25.4,
    "q": 96 / 101.6,
    "pt": 96 / 72,
    "pc": 16.0,
}
_UNITS = frozenset(
    (
        *PX_PER_UNIT,
        *("%", "em", "ex", "rem", "ch", "cap", "ic", "lh", "rlh", "rex", "rch", "rcap", "ric"),
        *(size + side for size in ("", "s", "l", "d") for side in ("vw", "vh", "vi", "vb")),
        *(size + side for size in ("", "s", "l", "d") for side in ("vmin", "vmax")),
        *("deg", "rad", "grad", "turn"),
    )
)
_ANGLES = frozenset(("deg", "rad", "grad", "turn"))
_SIDE = re.compile(rf"({_CSS_NUMBER})(%|[A-Za-z]*)\Z")
_SIDE_WORDS = frozenset(
    (
        *("auto", "inherit", "initial", "unset", "revert", "revert-layer"),
        *("min-content", "max-content", "fit-content", "stretch", "contain", "available"),
        *("intrinsic", "min-intrinsic", "fill-available"),
    )
)
_VENDORS_MARK = re.compile(r"-(?:webkit|moz)-")
_DEGREES = {"": 1.0, "deg": 1.0, "rad": 180 / math.pi, "grad": 0.9, "turn": 360.0}


_COMPUTING = re.compile(
    r"(?<![\w-])(?:-(?:webkit|moz)-)?(?:var|env|attr|constant|if|inherit|calc|calc-size|min|max|clamp"
    r"|round|mod|rem|sin|cos|tan|asin|acos|atan|atan2|pow|sqrt|hypot|log|exp|abs|sign|progress"
    r"|media-progress|container-progress|random|random-item|sibling-index|sibling-count|first-valid"
    r"|toggle|anchor|anchor-size)\(",
    re.IGNORECASE,
)


def is_computed(text: str) -> bool:
    """Say whether a value holds a function of CSS that stands for another value."""
    return "(" in text and _COMPUTING.search(text) is not None


class UnknownUnit(ValueError):
    """A unit whose size can't be told from the file."""


@dataclass(frozen=True, slots=True)
class Length:
    """A length as written.

    :param unit: in lower case; empty, ``%`` or a unit's name
    """

    number: float
    unit: str

    def px(self, of: float, font_size: float | None) -> float:
        """Give the length in user units.

        :param of: what a percentage is of, in user units
        :param font_size: of the element in user units; None if it can't be told
        :raises UnknownUnit: a unit that needs what the file doesn't say
        """
        if self.unit in PX_PER_UNIT:
            return self.number * PX_PER_UNIT[self.unit]
        if self.unit == "%":
            return self.number / 100 * of
        if self.unit in ("em", "ex") and font_size is not None:
            # half an em stands for an ex where no font is at hand (CSS Values 3, 5.1.1)
            return self.number * font_size * (1.0 if self.unit == "em" else 0.5)
        raise UnknownUnit(self.unit)


def parse_length(text: str) -> Length | None:
    """Read a length; None if it isn't one.

    :raises OverflowError: a number beyond all bounds
    """
    found = _LENGTH.match(text)
    if not found or (unit := found[2].lower()) not in _UNITS:
        return None
    return Length(_finite(found[1]), unit)


def is_side(text: str) -> bool:
    """Say whether CSS takes a text for a width or height; what it doesn't take, viewers pass over.

    A length needs a unit unless it is zero, and may not be below zero (CSS Sizing Level 3, 3.1.1; CSS
    Values Level 3, 6). Words and functions of CSS count as sizes, whether or not they are read here.
    """
    found = _SIDE.match(text)
    if found is None:
        return "(" in text or _VENDORS_MARK.sub("", text.lower()) in _SIDE_WORDS
    number, unit = float(found[1]), found[2].lower()
    if unit == "":
        return number == 0
    return number >= 0 and unit in _UNITS and unit not in _ANGLES


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise OverflowError(text)
    return number


def parse_number(text: str) -> float | None:
    """Read a plain number; None if it isn't one."""
    length = parse_length(text)
    return length.number if length and not length.unit else None


def parse_numbers(text: str) -> list[float] | None:
    """Read a list of numbers, divided by space or commas; None if anything else is in it."""
    numbers, at = [], 0
    text = text.strip()
    while at < len(text):
        found = _NUMBERS.match(text, at)
        if not found:
            return None
        numbers.append(_finite(found[1]))
        at = found.end()
    return numbers


def multiply(first: Matrix, second: Matrix) -> Matrix:
    """Give the matrix that applies ``second``, then ``first``."""
    a, b, c, d, e, f = first
    g, h, i, j, k, m = second
    return (
        a * g + c * h,
        b * g + d * h,
        a * i + c * j,
        b * i + d * j,
        a * k + c * m + e,
        b * k + d * m + f,
    )


def inverse(matrix: Matrix) -> Matrix:
    """Give the matrix that undoes another; it must not be flat."""
    a, b, c, d, e, f = matrix
    det = a * d - b * c
    return (
        d / det,
        -b / det,
        -c / det,
        a / det,
        (c * f - d * e) / det,
        (b * e - a * f) / det,
    )


def is_flat(matrix: Matrix) -> bool:
    """Say whether the matrix takes every area to nothing."""
    a, b, c, d, _, _ = matrix
    size = max(abs(a), abs(b), abs(c), abs(d))
    return size == 0 or abs(a * d - b * c) <= 1e-12 * size * size


def is_finite(matrix: Matrix) -> bool:
    """Say whether all six numbers are finite."""
    return all(math.isfinite(number) for number in matrix)


def largest_scale(matrix: Matrix) -> float:
    """Give the largest factor by which the matrix stretches a length (its larger singular value)."""
    a, b, c, d, _, _ = matrix
    half_sum = (a * a + b * b + c * c + d * d) / 2
    det = a * d - b * c
    return math.sqrt(half_sum + math.sqrt(max(half_sum * half_sum - det * det, 0.0)))


def translation(x: float, y: float) -> Matrix:
    """Give the matrix that moves by x, y."""
    return (1.0, 0.0, 0.0, 1.0, x, y)


def scaling(x: float, y: float) -> Matrix:
    """Give the matrix that scales by x, y."""
    return (x, 0.0, 0.0, y, 0.0, 0.0)


def rotation(degrees: float) -> Matrix:
    """Give the matrix that turns by an angle, clockwise on a page with y downwards."""
    radians = math.radians(degrees)
    cos, sin = math.cos(radians), math.sin(radians)
    return (cos, sin, -sin, cos, 0.0, 0.0)


class NoTransform(ValueError):
    """A transform that can't be read.

    :param known: it is right in CSS, but isn't read
    :param unlike: some viewers read it, though it isn't right where it stands
    """

    def __init__(self, text: str, *, known: bool = False, unlike: bool = False) -> None:
        self.known, self.unlike = known, unlike
        super().__init__(text)


def parse_transform(text: str, *, css: bool = False) -> Matrix:
    """Read a list of transform functions.

    An attribute has six functions of plain numbers; CSS has more, with units, commas between all
    arguments, and names in any case (CSS Transforms Level 1, 7 and 8).

    :param css: whether it stands in a style sheet or style attribute
    :raises NoTransform: an error in it, or a function or unit that isn't read
    """
    matrix, at = IDENTITY, 0
    text = text.strip()
    if text.lower() == "none" if css else text == "none":
        return IDENTITY
    if css and not text:
        raise NoTransform(text)
    right = not css or _CSS_TRANSFORM.match(text) is not None
    while at < len(text):
        found = _FUNCTION.match(text, at)
        if not found:
            raise NoTransform(text)
        name = _CSS_NAMES.get(found[1].lower(), found[1]) if css else found[1]
        args = _arguments(name, found[2])
        matrix = multiply(matrix, _function(name, args))
        right = right and (_right_in_css if css else _right_in_attribute)(name, args)
        at = found.end()
    if not right:
        raise NoTransform(text, unlike=True)
    return matrix


def _right_in_css(name: str, args: Arguments) -> bool:
    """Say whether all that needs a unit has one: all lengths and angles but zero."""
    if name.startswith(("matrix", "scale")):
        return True
    if name == "rotate" and len(args) != 1:
        return False
    return all(unit != "" or number == 0 for number, unit in args)


def _right_in_attribute(name: str, args: Arguments) -> bool:
    return name in _SVG_FUNCTIONS and all(unit == "" for _, unit in args)


def _arguments(name: str, inside: str) -> Arguments:
    args, at = [], 0
    while at < len(inside.rstrip()):
        found = _ARGUMENT.match(inside, at)
        if not found:
            raise NoTransform(f"{name}({inside})")
        args.append((_finite(found[1]), found[2].lower()))
        at = found.end()
    return args


def _function(name: str, args: Arguments) -> Matrix:
    match name, args:
        case "matrix", [(a, ""), (b, ""), (c, ""), (d, ""), (e, ""), (f, "")]:
            return (a, b, c, d, e, f)
        case "translate", [x]:
            return translation(_px(x), 0)
        case "translate", [x, y]:
            return translation(_px(x), _px(y))
        case "translateX", [x]:
            return translation(_px(x), 0)
        case "translateY", [y]:
            return translation(0, _px(y))
        case "scale", [x]:
            return scaling(_factor(x), _factor(x))
        case "scale", [x, y]:
            return scaling(_factor(x), _factor(y))
        case "scaleX", [x]:
            return scaling(_factor(x), 1)
        case "scaleY", [y]:
            return scaling(1, _factor(y))
        case "rotate", [angle]:
            return rotation(_angle(angle))
        case "rotate", [angle, x, y]:
            to = translation(_px(x), _px(y))
            return multiply(multiply(to, rotation(_angle(angle))), inverse(to))
        case "skewX", [angle]:
            return (1, 0, math.tan(math.radians(_angle(angle))), 1, 0, 0)
        case "skewY", [angle]:
            return (1, math.tan(math.radians(_angle(angle))), 0, 1, 0, 0)
        case "skew", [x]:
            return (1, 0, math.tan(math.radians(_angle(x))), 1, 0, 0)
        case "skew", [x, y]:
            return (
                1,
                math.tan(math.radians(_angle(y))),
                math.tan(math.radians(_angle(x))),
                1,
                0,
                0,
            )
    raise NoTransform(name, known=name in _DEEP)


def _px(argument: tuple[float, str]) -> float:
    number, unit = argument
    if unit not in PX_PER_UNIT:
        raise NoTransform(f"{number:g}{unit}", known=True)
    return number * PX_PER_UNIT[unit]


def _factor(argument: tuple[float, str]) -> float:
    number, unit = argument
    if unit not in ("", "%"):
        raise NoTransform(f"{number:g}{unit}")
    return number / 100 if unit else number


def _angle(argument: tuple[float, str]) -> float:
    number, unit = argument
    if unit not in _DEGREES:
        raise NoTransform(f"{number:g}{unit}")
    return number * _DEGREES[unit]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle: x, y of its top left, width and height."""

    x: float
    y: float
    width: float
    height: float


def is_degenerate(box: Box) -> bool:
    """Say whether a box has no width or no height, but for rounding."""
    return min(box.width, box.height) <= 1e-12 * max(abs(box.x), abs(box.y), box.width, box.height)


def parse_view_box(text: str) -> Box | None:
    """Read a viewBox; None if it is malformed, or has no or a negative size."""
    numbers = parse_numbers(text)
    if numbers is None or len(numbers) != 4:
        return None
    box = Box(*numbers)
    return box if box.width > 0 and box.height > 0 else None


_ALIGN = re.compile(
    r"\s*(?:defer\s+)?(?:none|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?\s*\Z"
)
_SHARE = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


@dataclass(frozen=True, slots=True)
class Fitting:
    """A preserveAspectRatio: how a view box is fitted into a rectangle of other proportions."""

    keep: bool = True
    x: float = 0.5
    y: float = 0.5
    slice: bool = False

    def matrix(self, view: Box, into: Box) -> Matrix:
        """Give the matrix from the view box's units to those of the rectangle."""
        sx, sy = into.width / view.width, into.height / view.height
        if self.keep:
            sx = sy = max(sx, sy) if self.slice else min(sx, sy)
        return (
            sx,
            0.0,
            0.0,
            sy,
            into.x - view.x * sx + (into.width - view.width * sx) * self.x * self.keep,
            into.y - view.y * sy + (into.height - view.height * sy) * self.y * self.keep,
        )


def parse_fitting(text: str | None) -> Fitting:
    """Read a preserveAspectRatio; the default if there is none or it is malformed."""
    found = _ALIGN.match(text or "")
    if not found:
        return Fitting()
    if found[1] is None:
        return Fitting(keep=False)
    return Fitting(True, _SHARE[found[1]], _SHARE[found[2]], found[3] == "slice")
