"""From readings of a register test to the press's error in its two parts. Plain numpy and scipy."""

from __future__ import annotations

import csv
import math
import re
from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from prep_registration.verniers import LINES, STEP_MM

COLUMNS = ("run", "print", "screen", "left_x", "left_y", "right_x", "right_y", "apart")
_WHICH = COLUMNS[:3]
_READ = COLUMNS[3:7]
_STEP = re.compile(r"One line is (\d+(?:[.,]\d+)?) mm")
_CERTAIN = 0.9


@dataclass(frozen=True, slots=True)
class Reading:
    """How far a later screen lies off the first one on one print, right and down, in mm.

    :param apart_mm: between the left and the right scale
    """

    run: str
    screen: str
    left: tuple[float, float]
    right: tuple[float, float]
    apart_mm: float


@dataclass(frozen=True, slots=True)
class Part:
    """One standard deviation of one screen, and between what it lies in nine cases of ten.

    :param count: independent values that tell as much, rounded down
    """

    value: float
    low: float
    high: float
    count: int


@dataclass(frozen=True, slots=True)
class Readings:
    """The press's error: shift in mm each way, turn in degrees.

    :param setups: how often a screen was set up and read against its run's first
    :param runs: how often all screens were set up anew
    :param prints: rows read
    """

    set_up_mm: Part
    scatter_mm: Part
    set_up_turn_deg: Part
    scatter_turn_deg: Part
    setups: int
    runs: int
    prints: int


def parse(text: str, step_mm: float = STEP_MM) -> tuple[list[Reading], int]:
    """Read a table with the columns ``COLUMNS``, lengths in mm; lines that begin with # are comments.

    :param step_mm: what one line of the scales tells, where no comment of the table says it
    :return: the rows that were filled in, and how many weren't
    :raises ValueError: with the line and what to do
    """
    lines = [
        (number, line)
        for number, line in enumerate(text.lstrip("\ufeff").splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        raise ValueError("it is empty; take the readings.csv that the test was made with")
    between = ";" if ";" in lines[0][1] else ","
    head = [cell.strip() for cell in next(csv.reader([lines[0][1]], delimiter=between))]
    missing = [name for name in COLUMNS if name not in head]
    if missing:
        raise ValueError(f"line {lines[0][0]}: there is no column {missing[0]}; put it back")
    told = _STEP.search(" ".join(s for s in text.splitlines() if s.lstrip(' "').startswith("#")))
    reach_mm = LINES * (float(told[1].replace(",", ".")) if told else step_mm)
    found, empty = [], 0
    seen: dict[tuple[str, ...], int] = {}
    for number, line in lines[1:]:
        cells = [cell.strip() for cell in next(csv.reader([line], delimiter=between))]
        if any(cells[len(head) :]):
            raise ValueError(
                f"line {number}: {len(cells)} cells stand under {len(head)} columns; write figures with a"
                " point, like -0.2, or part the cells by semicolons"
            )
        row = dict(zip(head, cells + [""] * (len(head) - len(cells)), strict=False))
        if not any(row[name] for name in _READ):
            empty += 1
            continue
        figures = {name: _figure(number, name, row[name]) for name in (*_READ, "apart")}
        for name in _READ:
            if abs(figures[name]) > reach_mm + 1e-9:
                other = "" if told else ", or say with --step what one line of the test tells"
                raise ValueError(
                    f"line {number}: {name} {row[name]} is beyond the scale, which shows up to"
                    f" {reach_mm:g} mm; read it again, in millimetres like -0.2{other}"
                )
        for name in _WHICH:
            if not row[name]:
                raise ValueError(f"line {number}: {name} is empty; number it")
        if row["screen"] == "1":
            raise ValueError(
                f"line {number}: screen 1 is what the others are read against; number them from 2"
            )
        which = tuple(row[name] for name in _WHICH)
        if which in seen:
            raise ValueError(
                f"line {number}: run {which[0]}, print {which[1]}, screen {which[2]} stands in line"
                f" {seen[which]} already; count print or run up"
            )
        seen[which] = number
        if figures["apart"] <= 0.0:
            raise ValueError(f"line {number}: apart must be above zero")
        found.append(
            Reading(
                row["run"],
                row["screen"],
                (figures["left_x"], figures["left_y"]),
                (figures["right_x"], figures["right_y"]),
                figures["apart"],
            )
        )
    return found, empty


def _figure(number: int, name: str, text: str) -> float:
    if not text:
        raise ValueError(f"line {number}: {name} is empty; fill it in, or empty the whole row")
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise ValueError(
            f'line {number}: {name} "{text}" is no number; write it like -0.2'
        ) from None
    if not math.isfinite(value):
        raise ValueError(f"line {number}: {name} {text} can't be; write millimetres, like -0.2")
    return value


def reckon(readings: list[Reading]) -> Readings:
    """Give the press's error.

    Each print shows the difference of two screens, so each part of one screen is that of the
    difference over the square root of two. Scatter: the spread of prints about the mean of their
    set-up, all set-ups together. Set-up: the spread of these means about zero, less what scatter leaves
    in a mean. Bounds by the chi-square distribution, 5 % and 95 %, as if readings were normal.

    All later screens of a run are read against its first, whose own error is in each difference: for one
    variance v of a screen, differences have 2 v and two of them a covariance of v, a correlation of 1/2.
    The mean of squares of m normal values of variance w has the variance 2 w² / m² times the sum over all
    pairs i, j of their squared correlation, which is m + m (m - 1) / 4. A chi-square estimate on f degrees
    of freedom has 2 w² / f; as much variance (Satterthwaite's rule) has one on::

        f = m² / (m + m (m - 1) / 4) = 4 m / (m + 3)

    which never comes to more than 4 from one run, in each direction, however many screens it has. Over runs
    m and the sums add up, and scatter has each set-up's prints less one for its ones. For 2 to 8 screens
    and 1 to 6 runs the bounds hold in 0.90 to 0.93 of draws.

    :raises ValueError: no set-up has two prints
    """
    groups: dict[tuple[str, str], list[tuple[float, float, float]]] = defaultdict(list)
    for one in readings:
        x = (one.left[0] + one.right[0]) / 2.0
        y = (one.left[1] + one.right[1]) / 2.0
        turn = math.degrees(math.atan2(one.right[1] - one.left[1], one.apart_mm))
        groups[one.run, one.screen].append((x, y, turn))
    several = [np.array(rows) for rows in groups.values() if len(rows) > 1]
    if not several:
        raise ValueError(
            "scatter shows between prints of one set-up; read two prints or more of each, ten are better"
        )
    about = np.concatenate([rows - rows.mean(axis=0) for rows in several])
    freedom = sum(len(rows) - 1 for rows in several)
    squares = (about**2).sum(axis=0)
    scatter2 = np.array([(squares[0] + squares[1]) / (2 * freedom), squares[2] / freedom])
    means = np.array([np.mean(rows, axis=0) for rows in groups.values()])
    left = np.mean([1.0 / len(rows) for rows in groups.values()])
    means2 = (means**2).mean(axis=0)
    raw2 = np.array([(means2[0] + means2[1]) / 2.0, means2[2]])
    count = len(means)
    of_runs = _by_run({key: len(rows) for key, rows in groups.items()})
    apart = _independent([[1] * len(prints) for prints in of_runs])
    free = _independent([[n - 1 for n in prints if n > 1] for prints in of_runs])
    return Readings(
        set_up_mm=_part(raw2[0], 2.0 * apart, scatter2[0] * left),
        scatter_mm=_part(scatter2[0], 2.0 * free),
        set_up_turn_deg=_part(raw2[1], apart, scatter2[1] * left),
        scatter_turn_deg=_part(scatter2[1], free),
        setups=count,
        runs=len(of_runs),
        prints=len(readings),
    )


def _by_run(prints: dict[tuple[str, str], int]) -> list[list[int]]:
    """Give how many prints each set-up of each run was read on."""
    runs: dict[str, list[int]] = defaultdict(list)
    for (run, _), count in prints.items():
        runs[run].append(count)
    return list(runs.values())


def _independent(runs: list[list[int]]) -> float:
    """Give how many independent values tell as much of a variance; see :func:`reckon`.

    :param runs: of each run how many values each set-up gives; two set-ups share those of the one with
        fewer, each correlated by 1/2 with its fellow
    """
    values = float(sum(map(sum, runs)))
    squares = sum(
        (1.0 if i == j else 0.25) * min(a, b)
        for run in runs
        for i, a in enumerate(run)
        for j, b in enumerate(run)
    )
    return values**2 / squares


def _part(variance: float, count: float, less: float = 0.0) -> Part:
    """Give one screen's standard deviation from the variance of two screens' difference.

    :param count: degrees of freedom
    """
    from scipy.special import gammaincinv

    tail = (1.0 - _CERTAIN) / 2.0
    # points of the chi-square distribution; its own module takes long to load
    far, near = (2.0 * float(gammaincinv(count / 2.0, share)) for share in (1.0 - tail, tail))
    low, high = variance * count / far, variance * count / near
    value, low, high = (math.sqrt(max(0.0, v - less) / 2.0) for v in (variance, low, high))
    return Part(value, low, high, int(count))
