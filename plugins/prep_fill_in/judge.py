"""Judges details by rules: plain arrays in, plain arrays out, nothing of prep.

A detail has sizes (a width, an area, a ratio); a rule bounds one of them. All details are judged by
all rules at once, so that each keeps every cause it suffers from, and the print's growth that would
cure it follows from the same table.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Size = Literal["width", "area", "ratio"]

PASSES, AT_RISK, WILL_FAIL = 0, 1, 2

_GROWS_BY: Mapping[Size, float] = {"width": 1.0, "area": 2.0, "ratio": 1.0}
"""Power of the print's scale each size grows by; a release ratio is a length over a depth."""

_REACHED_MM = 0.01
_LESS = 1.0 - 1e-6
"""What misses a limit by just as much hasn't reached it, whatever rounding makes of the sum."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A bound on one size, for one cause.

    :param cause: a word that names the cause, like ``weeding``
    :param size: which size it bounds
    :param at_risk_below: at or above it a detail passes this rule
    :param fails_below: below it a detail will fail
    :raises ValueError: bounds below zero or crossed
    """

    cause: str
    size: Size
    at_risk_below: float
    fails_below: float

    def __post_init__(self) -> None:
        """Check the bounds."""
        if not 0.0 <= self.fails_below <= self.at_risk_below < np.inf:
            raise ValueError(
                f"{self.cause}: fails below {self.fails_below}, at risk below {self.at_risk_below}"
            )


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """What came of it, for N details and R rules.

    :param levels: (N, R) of ``PASSES``, ``AT_RISK``, ``WILL_FAIL``
    :param level: (N,) the worst of each detail
    :param decides: (N,) index of the rule that decides: the worst level, then the most growth asked
    :param grow: (N, R) times the print must grow for the rule to pass; 1 where it does
    :param grow_to_pass: (N,) times the print must grow for the detail to pass all rules
    :param grow_to_survive: (N,) times it must grow so that no rule says it will fail
    """

    levels: NDArray[np.int8]
    level: NDArray[np.int8]
    decides: Ints
    grow: Floats
    grow_to_pass: Floats
    grow_to_survive: Floats


def judge(
    sizes: Mapping[Size, Floats], rules: Sequence[Rule], reached_mm: float = _REACHED_MM
) -> Judged:
    """Judge N details by all rules.

    A detail has reached a bound that it would meet if it were wider by less than ``reached_mm``, its other
    sizes grown alike; so neither rounding nor the flattening of curves decides on which side it falls.

    :param sizes: each (N,), finite, above zero; all of one length; ``width`` among them
    :raises ValueError: no rules, a size missing for a rule or no width, unlike lengths, a size not above
        zero
    """
    if not rules:
        raise ValueError("nothing to judge by")
    if "width" not in sizes:
        raise ValueError("each detail needs its width")
    lengths = {len(values) for values in sizes.values()}
    if len(lengths) != 1:
        raise ValueError(f"sizes are of unlike lengths: {sorted(lengths)}")
    for name, values in sizes.items():
        if not (np.isfinite(values).all() and (values > 0.0).all()):
            raise ValueError(f"each {name} must be finite and above zero")
    columns = []
    for rule in rules:
        if rule.size not in sizes:
            raise ValueError(f"{rule.cause} needs the {rule.size} of each detail")
        columns.append(sizes[rule.size])
    value = np.stack(columns, axis=1)
    at_risk = np.array([rule.at_risk_below for rule in rules])
    fails = np.array([rule.fails_below for rule in rules])
    grows = np.array([_GROWS_BY[rule.size] for rule in rules])
    wider = 1.0 + _LESS * reached_mm / sizes["width"]
    most = value * wider[:, None] ** grows
    risky, failing = most < at_risk, most < fails
    levels = risky.astype(np.int8) + failing.astype(np.int8)
    grow = np.where(risky, (at_risk / value) ** (1.0 / grows), 1.0)
    survive = np.where(failing, (fails / value) ** (1.0 / grows), 1.0)
    level = levels.max(axis=1, initial=PASSES)
    decides = np.where(levels == level[:, None], grow, -1.0).argmax(axis=1)
    return Judged(levels, level, decides, grow, grow.max(axis=1), survive.max(axis=1))


def group(
    level: NDArray[np.int8], causes: Ints, width: Floats, *, span: float = 1.15
) -> list[Ints]:
    """Put details together that are alike: same level, same set of causes, nearly the same width.

    A class of widths begins at its narrowest and reaches to ``span`` times that, or 0.05 mm further,
    whichever is more; so the tines of a comb, all drawn alike, are one group wherever they lie on
    the scale.

    :param level: (N,)
    :param causes: (N,) a number for each distinct set of causes
    :param width: (N,) in mm
    :return: indices of each group's details, narrowest first; groups worst first: by level, then
        by narrowest width
    """
    groups: list[Ints] = []
    if not len(width):
        return groups
    order = np.lexsort((width, causes, -level))
    keys = np.stack([level[order].astype(np.intp), causes[order]], axis=1)
    starts = np.flatnonzero(np.r_[True, (np.diff(keys, axis=0) != 0).any(axis=1)]).tolist()
    for start, end in zip(starts, [*starts[1:], len(order)], strict=True):
        begin = start
        while begin < end:
            narrowest = width[order[begin]]
            reach = max(span * narrowest, narrowest + 0.05)
            stop = begin + int(np.searchsorted(width[order[begin:end]], reach, side="right"))
            groups.append(order[begin:stop])
            begin = stop
    return sorted(groups, key=lambda g: (-int(level[g[0]]), float(width[g[0]]), int(g[0])))


def release_ratio(area_mm2: Floats, perimeter_mm: Floats, depth_mm: float) -> Floats:
    """Give the area of openings over the area of their walls, A / (P T).

    For a rectangle this is LW / (2 (L + W) T), the area ratio of IPC-7525 (quoted on several
    engineering pages; the clauses not read); published limit 0.66 for paste in metal stencils of
    0.1-0.2 mm. For mesh and film it is an analogue that ranks risk.

    :param area_mm2: (N,)
    :param perimeter_mm: (N,) all outlines, holes included
    :param depth_mm: T, what the ink must let go of
    :raises ValueError: depth not above zero
    """
    if not depth_mm > 0.0:
        raise ValueError(f"depth must be above zero, not {depth_mm}")
    return area_mm2 / (perimeter_mm * depth_mm)
