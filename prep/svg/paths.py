"""Outlines as lines and cubic curves: path data, the basic shapes, arcs.

Everything becomes one array of cubic control points. Quadratic curves are raised exactly; arcs are
cut into pieces of at most 30 degrees, whose cubic lies within 4e-7 of the radius of the true arc.

Source: SVG 2, chapters 9 (paths), 10 (basic shapes) and appendix B.2 (arcs).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_ROUNDING = 1e-11  # of a coordinate: what sums of decimals are off by
_PIECE = math.radians(30)
_FLAG = re.compile(r"\s*,?\s*([01])")
_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_GAP = re.compile(r"\s*")
# an e without an exponent spoils its number, as in all viewers
_NUMBER = re.compile(r"\s*,?\s*([-+]?(?:\d++\.?\d*+|\.\d++)(?:[eE][-+]?\d++)?+)(?![eE])")
_ALL = {  # the numbers of a command at once; atomic, so that none is split to make up for another
    kind: re.compile(
        "".join(
            f"(?>{(_FLAG if kind == 'A' and position in (3, 4) else _NUMBER).pattern})"
            for position in range(count)
        )
    )
    for kind, count in _COUNT.items()
}

Segment = tuple[float, float, float, float, float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """Sub-paths one after the other.

    :param control: control points, shape (n, 4, 2), in user units
    :param straight: which segments are straight lines, shape (n,)
    :param knots: which segments end at a vertex of the path, rather than within an arc, shape (n,)
    :param first: number of each sub-path's first segment, shape (k,)
    :param closed: which sub-paths were closed, shape (k,)
    :param lone: sub-paths that are a point only, shape (m, 2): they paint a dot under round and
        square caps
    :param halts: whether segments without length were left out of others
    """

    control: Floats
    straight: Bools
    knots: Bools
    first: NDArray[np.intp]
    closed: Bools
    lone: Floats
    halts: bool = False

    def __len__(self) -> int:
        """Count the segments."""
        return len(self.control)

    def subpaths(self) -> Iterator[tuple[slice, bool]]:
        """Give where each sub-path's segments lie, and whether it is closed."""
        ends = [*self.first[1:].tolist(), len(self.control)] if len(self.first) else []
        for start, end, closed in zip(self.first.tolist(), ends, self.closed.tolist(), strict=True):
            yield slice(start, end), closed


class PathBuilder:
    """Collects segments, as path data names them."""

    def __init__(self) -> None:
        """Start with an empty path."""
        self.segments: list[Segment] = []
        self.straight: list[bool] = []
        self.knots: list[bool] = []
        self.first: list[int] = []
        self.closed: list[bool] = []
        self.lone: list[tuple[float, float]] = []
        self.at = (0.0, 0.0)
        self._start = (0.0, 0.0)
        self._open = False  # a sub-path has begun and is not closed
        self._moved = False  # the last command was a move

    def move(self, x: float, y: float) -> None:
        """Begin a sub-path."""
        # a move alone paints nothing, not even a dot
        self._open = False
        self._moved = True
        self.at = self._start = (x, y)

    def _begin(self) -> None:
        if not self._open:
            self.first.append(len(self.segments))
            self.closed.append(False)
            self._open = True
            self._start = self.at
        self._moved = False

    def line(self, x: float, y: float) -> None:
        """Draw a straight line."""
        self._begin()
        x0, y0 = self.at
        dx, dy = (x - x0) / 3, (y - y0) / 3
        self.segments.append((x0, y0, x0 + dx, y0 + dy, x - dx, y - dy, x, y))
        self.straight.append(True)
        self.knots.append(True)
        self.at = (x, y)

    def cubic(self, x1: float, y1: float, x2: float, y2: float, x: float, y: float) -> None:
        """Draw a cubic curve."""
        self._begin()
        self.segments.append((*self.at, x1, y1, x2, y2, x, y))
        self.straight.append(False)
        self.knots.append(True)
        self.at = (x, y)

    def quadratic(self, x1: float, y1: float, x: float, y: float) -> None:
        """Draw a quadratic curve."""
        x0, y0 = self.at
        self.cubic(
            x0 + (x1 - x0) * 2 / 3,
            y0 + (y1 - y0) * 2 / 3,
            x + (x1 - x) * 2 / 3,
            y + (y1 - y) * 2 / 3,
            x,
            y,
        )

    def ellipse_arc(
        self,
        centre: tuple[float, float],
        rx: float,
        ry: float,
        turned: float,
        start: float,
        sweep: float,
        end: tuple[float, float],
    ) -> None:
        """Draw an arc of an ellipse.

        :param turned: angle of the ellipse's x axis, in radians
        :param start: angle where the arc begins, in the ellipse's own measure
        :param sweep: how far it goes, with its sign
        :param end: where it ends exactly
        """
        pieces = max(1, math.ceil(abs(sweep) / _PIECE - 1e-9))
        step = sweep / pieces
        handle = 4 / 3 * math.tan(step / 4)
        cos_t, sin_t = math.cos(turned), math.sin(turned)
        cx, cy = centre

        def place(u: float, v: float) -> tuple[float, float]:
            return (cx + cos_t * rx * u - sin_t * ry * v, cy + sin_t * rx * u + cos_t * ry * v)

        for piece in range(pieces):
            a, b = start + piece * step, start + (piece + 1) * step
            cos_a, sin_a, cos_b, sin_b = math.cos(a), math.sin(a), math.cos(b), math.sin(b)
            to = end if piece == pieces - 1 else place(cos_b, sin_b)
            self.cubic(
                *place(cos_a - handle * sin_a, sin_a + handle * cos_a),
                *place(cos_b + handle * sin_b, sin_b - handle * cos_b),
                *to,
            )
            self.knots[-1] = piece == pieces - 1

    def arc(
        self, rx: float, ry: float, degrees: float, large: bool, sweep: bool, x: float, y: float
    ) -> None:
        """Draw an arc as path data names it (SVG 2, B.2.4 and B.2.5)."""
        x0, y0 = self.at
        rx, ry = abs(rx), abs(ry)
        if (x0, y0) == (x, y):
            return
        if rx == 0 or ry == 0:
            self.line(x, y)
            return
        turned = math.radians(degrees % 360)
        cos_t, sin_t = math.cos(turned), math.sin(turned)
        hx, hy = (x0 - x) / 2, (y0 - y) / 2
        u, v = (cos_t * hx + sin_t * hy) / rx, (-sin_t * hx + cos_t * hy) / ry
        size = math.hypot(u, v)
        if not 1e-100 < size < 1e100:  # the number of a radius can't be meant
            raise OverflowError(f"arc with radii {rx:g} {ry:g}")
        if size > 1:
            rx, ry = rx * size, ry * size
            u, v, size = u / size, v / size, 1.0
        off = math.sqrt((1 - size) * (1 + size)) / size * (1 if large != sweep else -1)
        cu, cv = off * v, -off * u
        start = math.atan2(v - cv, u - cu)
        turn = math.atan2(-v - cv, -u - cu) - start
        if sweep and turn < 0:
            turn += 2 * math.pi
        elif not sweep and turn > 0:
            turn -= 2 * math.pi
        centre = (
            cos_t * cu * rx - sin_t * cv * ry + (x0 + x) / 2,
            sin_t * cu * rx + cos_t * cv * ry + (y0 + y) / 2,
        )
        self.ellipse_arc(centre, rx, ry, turned, start, turn, (x, y))

    def close(self) -> None:
        """Close the sub-path with a line to its start."""
        if not self._open:
            if self._moved:
                self.lone.append(self.at)
                self._moved = False
            return
        (x, y), (x0, y0) = self.at, self._start
        if max(abs(x - x0), abs(y - y0)) <= _ROUNDING * max(map(abs, (x, y, x0, y0))):
            # steps that were meant to lead back; the rest of rounding has no direction
            self.segments[-1] = (*self.segments[-1][:6], x0, y0)
        else:
            self.line(x0, y0)
        self.closed[-1] = True
        self._open = False
        self.at = self._start

    def done(self) -> Path:
        """Give the path."""
        n = len(self.segments)
        control = np.array(self.segments, dtype=np.float64).reshape(n, 4, 2)
        straight = np.array(self.straight, dtype=np.bool_)
        knots = np.array(self.knots, dtype=np.bool_)
        first = np.array(self.first, dtype=np.intp)
        closed = np.array(self.closed, dtype=np.bool_)
        lone = np.array(self.lone, dtype=np.float64).reshape(-1, 2)
        halts = False
        if n:
            # segments that go nowhere have no direction; a sub-path of nothing else is a dot
            size = np.abs(control - control[:, :1]).max(axis=(1, 2))
            moving = size > _ROUNDING * np.abs(control).max(axis=(1, 2))
            if not moving.all():
                owner = np.repeat(np.arange(len(first)), np.diff([*first, n]))
                alive = np.isin(np.arange(len(first)), owner[moving])
                halts = bool(alive[owner[~moving]].any())
                lone = np.concatenate([lone, control[first[~alive], 0]])
                control, straight, knots = control[moving], straight[moving], knots[moving]
                counts = np.bincount(owner[moving], minlength=len(first))[alive]
                first = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.intp)
                closed = closed[alive]
                if not alive.any():
                    first = np.zeros(0, dtype=np.intp)
        return Path(control, straight, knots, first, closed, lone, halts)


def parse_path(text: str) -> tuple[Path, bool]:
    """Read path data.

    :returns: the path up to the first error, and whether there was none
    """
    builder = PathBuilder()
    whole = _run(builder, text)
    return builder.done(), whole


def _run(builder: PathBuilder, text: str) -> bool:
    at, end = _GAP.match(text).end(), len(text)  # type: ignore[union-attr]  # matches always
    command, control, last = "", (0.0, 0.0), ""
    first = True
    while at < end:
        letter = text[at]
        if letter.upper() in _COUNT:
            command, fresh = letter, True
            at = _GAP.match(text, at + 1).end()  # type: ignore[union-attr]  # matches always
        elif not command or command in "zZ":
            return False
        else:
            fresh = False
        kind = command.upper()
        if first and kind != "M":
            return False
        if kind == "Z":
            builder.close()
            last = "Z"
            continue
        found = _ALL[kind].match(text, at)
        if not found or (fresh and "," in text[at : found.start(1)]):
            # a number that can't be used is told even where the command lacks others
            _check_numbers(kind, text, at, fresh)
            return False
        numbers = list(map(float, found.groups()))
        if not math.isfinite(sum(map(abs, numbers))):
            _check_numbers(kind, text, at, fresh)
        at = found.end()
        x0, y0 = builder.at if command.islower() else (0.0, 0.0)
        match kind:
            case "M":
                builder.move(x0 + numbers[0], y0 + numbers[1])
                command = "l" if command == "m" else "L"
            case "L":
                builder.line(x0 + numbers[0], y0 + numbers[1])
            case "H":
                builder.line(x0 + numbers[0], builder.at[1])
            case "V":
                builder.line(builder.at[0], y0 + numbers[0])
            case "C" | "S":
                if kind == "S":
                    bx, by = builder.at
                    if last not in ("C", "S"):
                        control = (bx, by)
                    x1, y1 = 2 * bx - control[0], 2 * by - control[1]
                    numbers = [x1 - x0, y1 - y0, *numbers]
                control = (x0 + numbers[2], y0 + numbers[3])
                builder.cubic(
                    x0 + numbers[0], y0 + numbers[1], *control, x0 + numbers[4], y0 + numbers[5]
                )
            case "Q":
                control = (x0 + numbers[0], y0 + numbers[1])
                builder.quadratic(*control, x0 + numbers[2], y0 + numbers[3])
            case "T":
                bx, by = builder.at
                if last not in ("Q", "T"):
                    control = (bx, by)
                control = (2 * bx - control[0], 2 * by - control[1])
                builder.quadratic(*control, x0 + numbers[0], y0 + numbers[1])
            case "A":
                rx, ry, turned, large, sweep, x, y = numbers
                builder.arc(rx, ry, turned, bool(large), bool(sweep), x0 + x, y0 + y)
        last, first = kind, False
        gap = _GAP.match(text, at).end()  # type: ignore[union-attr]  # matches always
        if gap >= end:
            return "," not in text[at:]
        if text[gap].upper() in _COUNT:
            at = gap
    return True


def _check_numbers(kind: str, text: str, at: int, fresh: bool) -> None:
    """Look at a command's numbers one by one, up to the first that is missing.

    :raises OverflowError: one is too large
    """
    for position in range(_COUNT[kind]):
        found = (_FLAG if kind == "A" and position in (3, 4) else _NUMBER).match(text, at)
        if not found or (fresh and not position and "," in found[0]):
            return
        if not math.isfinite(float(found[1])):
            raise OverflowError(found[1])
        at = found.end()


def parse_points(text: str, *, close: bool) -> tuple[Path, bool]:
    """Read the points of a polyline or polygon; like path data, up to the first error."""
    builder, at, whole = PathBuilder(), 0, True
    text = text.strip()
    numbers: list[float] = []
    while at < len(text):
        found = _NUMBER.match(text, at)
        if not found or (not numbers and "," in found[0]):
            whole = False
            break
        number = float(found[1])
        if not math.isfinite(number):
            raise OverflowError(found[1])
        numbers.append(number)
        at = found.end()
    if len(numbers) % 2:
        whole = False
        numbers.pop()
    pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
    if pairs:
        builder.move(*pairs[0])
        for pair in pairs[1:]:
            builder.line(*pair)
        if close and len(pairs) > 1:
            builder.close()
    return builder.done(), whole


def rectangle(x: float, y: float, width: float, height: float, rx: float, ry: float) -> Path:
    """Give a rectangle, its corners rounded by rx, ry (SVG 2, 10.2)."""
    builder = PathBuilder()
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    right, bottom = x + width, y + height
    if rx <= 0 or ry <= 0:
        builder.move(x, y)
        builder.line(right, y)
        builder.line(right, bottom)
        builder.line(x, bottom)
        builder.close()
        return builder.done()
    quarter = math.pi / 2
    builder.move(x + rx, y)
    corners = (
        ((right - rx, y), (right - rx, y + ry), -quarter, (right, y + ry)),
        ((right, bottom - ry), (right - rx, bottom - ry), 0.0, (right - rx, bottom)),
        ((x + rx, bottom), (x + rx, bottom - ry), quarter, (x, bottom - ry)),
        ((x, y + ry), (x + rx, y + ry), 2 * quarter, (x + rx, y)),
    )
    for to, centre, start, end in corners:
        if to != builder.at:
            builder.line(*to)
        builder.ellipse_arc(centre, rx, ry, 0.0, start, quarter, end)
    builder.close()
    return builder.done()


def ellipse(cx: float, cy: float, rx: float, ry: float) -> Path:
    """Give an ellipse, drawn clockwise from its rightmost point (SVG 2, 10.3 and 10.4)."""
    builder = PathBuilder()
    right, bottom, left, top = (cx + rx, cy), (cx, cy + ry), (cx - rx, cy), (cx, cy - ry)
    builder.move(*right)
    for quarter, end in enumerate((bottom, left, top, right)):
        builder.ellipse_arc((cx, cy), rx, ry, 0.0, quarter * math.pi / 2, math.pi / 2, end)
    builder.close()
    return builder.done()


def line(x1: float, y1: float, x2: float, y2: float) -> Path:
    """Give a straight line."""
    builder = PathBuilder()
    builder.move(x1, y1)
    builder.line(x2, y2)
    return builder.done()
