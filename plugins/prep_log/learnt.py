"""From readings to the figures they put in place of guesses, in the shape of shop.toml.

Each kind of reading says which figure it is about:

- rows of details that held or didn't: the limits of ``[fill_in]``, by :mod:`prep_log.survival`;
- rows of dots printed after waits: ``open_cleared`` and ``open_flooded`` of ``[drying]``, likewise, a wait
  being the harder the longer it is;
- a flooded screen on a balance: ``weighed`` of ``[drying]``;
- prints of a register test: set-up error and scatter of ``[press]``, as that test reckons them;
- shirts weighed before and after printing: ``transfer`` of ``[ink]``, both by :mod:`prep_log.posterior`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from prep_log.posterior import Belief, Reading, learnt
from prep_log.survival import Curve, Step, fitted

BETWEEN_SHIRTS = 0.10
"""Standard deviation between shirts of one run, as a share of what one takes. A guess; no source found."""
BETWEEN_WEIGHINGS = 0.10
"""The same between weighings of one flooded screen: floods are not alike. A guess; no source found."""
MOST_OFF = 0.895
"""What a screen loses isn't learnt where it may be off by so much: shop.toml takes less than 0.9."""
NINE_IN_TEN = 0.9
LADDERS: Mapping[str, str] = {
    "cutting": "mm",
    "weeding": "mm",
    "strip": "mm",
    "island": "mm",
    "island_area": "mm2",
    "stroke": "mm",
    "gap": "mm",
}
"""Limits that rows of details tell of, by their key in ``[fill_in]``, each with its unit."""
CORNERS: Mapping[str, str] = {"corner_lifted": "deg", "corner_sharp": "deg"}
"""Rows of corners by their angle: told of, but no limit rests on them."""
CORNER_HALF_DEG = 30.0
"""Angle at which half of them are believed to hold before reading. A guess; no source found."""
REGISTER_TEST = "register test"
FEWEST_RUNS = 3
"""Runs, all screens set up anew for each, from which on the set-up error is learnt. Our choice."""
FEWEST_PRINTS = 6
"""Prints beyond the first of each set-up from which on scatter is: of screens of one run, which share their
first one's error, as many as would tell as much by themselves. Our choice."""
WAITS: Mapping[str, str] = {"cleared": "open_cleared", "flooded": "open_flooded"}


@dataclass(frozen=True, slots=True)
class Told:
    """One reading as it was entered.

    :param of: a key of :data:`LADDERS` or of :data:`CORNERS`, or ``open time``, ``screen weighed``,
        ``shirts weighed``, :data:`REGISTER_TEST`
    :param body: its figures: sizes in the unit of the ladder, times in s, masses in g, areas in mm²
    """

    day: date
    of: str
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Usual:
    """What is believed before anything is read.

    :param limits: sizes below which a ladder's details are at risk and fail, by its key in ``[fill_in]``
    :param waits_s: wait after which half of the dots print, by its key in ``[drying]``
    """

    transfer: Belief
    weighed_kg_m2_h: Belief
    limits: Mapping[str, tuple[float, float]]
    waits_s: Mapping[str, float]

    def half(self, key: str) -> float:
        """Give the size at which half of a ladder's details are believed to hold: amid its limits."""
        return math.sqrt(math.prod(self.limits[key]))


def figures(told: Iterable[Told], usual: Usual) -> dict[str, dict[str, Any]]:
    """Give what readings put in place of guesses: table -> key -> figure, as shop.toml writes them.

    What was read of drying counts where it was read in the latest climate; see :func:`in_other_air`.

    :param told: oldest first
    """
    every = list(told)
    other = {id(one) for one in in_other_air(every)}
    readings = [one for one in every if id(one) not in other]
    found: dict[str, dict[str, Any]] = {}
    for table, key, figure in (
        *_limits(readings, usual),
        *_open_times(readings, usual),
        *_evaporation(readings, usual),
        *_transfer(readings, usual),
        *_registration(readings),
    ):
        found.setdefault(table, {})[key] = figure
    return found


def in_other_air(told: Sequence[Told]) -> list[Told]:
    """Give readings of drying that were taken in another climate than the latest: they aren't used."""
    dried = [one for one in told if one.of in ("open time", "screen weighed")]
    return [one for one in dried if one.body["measured_in"] != dried[-1].body["measured_in"]]


def in_words(figure: Mapping[str, Any]) -> str:
    """Write a figure that follows from readings, with what it lies between."""
    if "at_risk_below" in figure:
        return f"at risk below {figure['at_risk_below']}, fails below {figure['fails_below']}"
    if "loss" in figure:
        return f"{figure['loss']} from {figure['area']} in {figure['after']}, ± {figure['off']}"
    often = ", nine times in ten" if figure.get("certain") == NINE_IN_TEN else ""
    return f"{figure['value']} ({figure['low']} to {figure['high']}{often})"


def as_settings(found: Mapping[str, Mapping[str, Any]]) -> dict[str, dict[str, Any]]:
    """Give figures as shop.toml takes them: those of the press have no range there, and their day apart."""
    taken = {table: dict(figures) for table, figures in found.items()}
    press = taken.get("press", {})
    if press:
        taken["press"] = {key: of["value"] for key, of in press.items()} | {
            "measured": {
                key: {"measured_on": of["measured_on"], "n": of["n"]} for key, of in press.items()
            }
        }
    return taken


def curves(told: Sequence[Told], usual: Usual) -> dict[str, Curve]:
    """Give the curve of each ladder that was read, by its key in ``[fill_in]``."""
    return {
        key: fitted(steps, usual.half(key))
        for key in LADDERS
        if key in usual.limits and (steps := _steps(told, key))
    }


def corners(told: Sequence[Told]) -> dict[str, tuple[Curve, dict[str, Any]]]:
    """Give the curve of each row of corners that was read, with its day and count."""
    return {
        key: (curve, _when([one for one in told if one.of == key], curve.tried))
        for key in CORNERS
        if (steps := _steps(told, key))
        for curve in (fitted(steps, CORNER_HALF_DEG),)
    }


def _limits(told: Sequence[Told], usual: Usual) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for key, curve in curves(told, usual).items():
        unit = LADDERS[key]
        yield (
            "fill_in",
            key,
            {
                "at_risk_below": f"{_rounded(curve.safe.value):g} {unit}",
                "fails_below": f"{_rounded(curve.half.value):g} {unit}",
                **_when([one for one in told if one.of == key], curve.tried),
            },
        )


def _steps(told: Sequence[Told], key: str) -> list[Step]:
    """Give a ladder's steps as each piece stood after the most pulls it was looked at, all its rows."""
    rows = [one for one in told if one.of == key]
    most: dict[object, int] = {}
    for one in rows:
        most[piece_of(one)] = max(pulls_of(one), most.get(piece_of(one), 0))
    return [
        Step(float(step["size"]), int(step["tried"]), int(step["held"]))
        for one in rows
        if pulls_of(one) == most[piece_of(one)]
        for step in one.body["steps"]
    ]


def piece_of(one: Told) -> object:
    """Say which piece a row of details is on: one of the same name and mesh is the same piece."""
    return one.body.get("piece") or (one.day, one.body.get("mesh"))


def pulls_of(one: Told) -> int:
    """Give after how many pulls a row of details was looked at."""
    return int(one.body.get("after_pulls", 0))


def _open_times(told: Sequence[Told], usual: Usual) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for screen, key in WAITS.items():
        rows = [one for one in told if one.of == "open time" and one.body["screen"] == screen]
        # a detail "of size" 1 / wait prints the surer the larger it is
        steps = [
            Step(1.0 / float(step["wait_s"]), int(step["tried"]), int(step["printed"]))
            for one in rows
            for step in one.body["steps"]
        ]
        if not steps:
            continue
        half = fitted(steps, 1.0 / usual.waits_s[key]).half
        low, value, high = 1.0 / half.high, 1.0 / half.value, 1.0 / half.low
        yield (
            "drying",
            key,
            {
                "value": f"{value:.0f} s",
                "low": f"{low:.0f} s",
                "high": f"{high:.0f} s",
                **_shared(rows, "ink", "mesh"),
                **_when(rows, sum(step.tried for step in steps)),
            },
        )
        yield "drying", "measured_in", dict(rows[-1].body["measured_in"])


def _evaporation(told: Sequence[Told], usual: Usual) -> Iterator[tuple[str, str, dict[str, Any]]]:
    rows = [one for one in told if one.of == "screen weighed"]
    if not rows:
        return
    readings = [
        Reading(
            _flux(one.body), math.hypot(BETWEEN_WEIGHINGS, _loss_off(one.body)), one.day.isoformat()
        )
        for one in rows
    ]
    found = learnt(usual.weighed_kg_m2_h, readings)
    last = rows[-1].body
    area, after = float(last["area_mm2"]), float(last["after_s"])
    loss = found.value * 1000.0 * (area / 1e6) * (after / 3600.0)
    off = max(found.high / found.value - 1.0, 1.0 - found.low / found.value)
    if off >= MOST_OFF:
        return
    yield (
        "drying",
        "weighed",
        {
            "loss": f"{loss:.4g} g",
            "area": f"{area:.6g} mm2",
            "after": f"{after:g} s",
            "off": f"{100.0 * off:.3g} %",
            **_when(rows, len(rows)),
        },
    )
    yield "drying", "measured_in", dict(last["measured_in"])


def says_too_little(told: Sequence[Told], usual: Usual) -> bool:
    """Tell whether screens were weighed, and what they say of drying is too vague to be used."""
    used = [one for one in told if one not in in_other_air(told)]
    weighed = any(one.of == "screen weighed" for one in used)
    return weighed and not any(True for _ in _evaporation(used, usual))


def _loss_off(body: Mapping[str, Any]) -> float:
    """Give how far a screen's loss is off as it was weighed, as a share of it, one standard deviation."""
    if "loss_off_g" in body:
        return float(body["loss_off_g"]) / float(body["loss_g"])
    return _balance(body, "loss_g")  # of a version that didn't tell it


def _flux(body: Mapping[str, Any]) -> float:
    """Give kg/(m² h)."""
    hours = float(body["after_s"]) / 3600.0
    return float(body["loss_g"]) / 1000.0 / (float(body["area_mm2"]) / 1e6) / hours


def _transfer(told: Sequence[Told], usual: Usual) -> Iterator[tuple[str, str, dict[str, Any]]]:
    rows = [one for one in told if one.of == "shirts weighed"]
    if not rows:
        return
    found = learnt(usual.transfer, [_of_shirts(one) for one in rows])
    yield (
        "ink",
        "transfer",
        {
            "value": round(found.value, 4),
            "low": round(found.low, 4),
            "high": round(found.high, 4),
            **_shared(rows, "mesh", "ink", "strokes"),
            **_when(rows, sum(int(one.body["shirts"]) for one in rows)),
        },
    )


def _registration(told: Sequence[Told]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Give the press's error, of shirts left in place and of shirts laid again each by itself.

    The error of a set-up is the same for both, and is taken where more runs were read.
    """
    tests = [one for one in told if one.of == REGISTER_TEST]
    if not tests:
        return
    try:
        from prep_registration.readings import Reading as OfPrint
        from prep_registration.readings import reckon
    except ModuleNotFoundError:
        return
    reckoned = []
    for again in (False, True):
        rows = [one for one in tests if bool(one.body["laid_again"]) is again]
        read = [
            OfPrint(
                f"{entry} {row['run']}",  # each entry's runs are set-ups of their own
                row["screen"],
                tuple(row["left"]),
                tuple(row["right"]),
                row["apart_mm"],
            )
            for entry, one in enumerate(rows)
            for row in one.body["rows"]
        ]
        if read:
            reckoned.append((again, rows, reckon(read)))
    _, of_most, most = max(reckoned, key=lambda one: one[2].runs)
    parts = []
    if most.runs >= FEWEST_RUNS:
        parts += [
            ("set_up_error", most.set_up_mm, "mm", of_most, most.runs),
            ("set_up_turn", most.set_up_turn_deg, "deg", of_most, most.runs),
        ]
    for again, rows, found in reckoned:
        if found.scatter_turn_deg.count >= FEWEST_PRINTS:
            key = "_laid_again" if again else ""
            parts += [
                (f"scatter{key}", found.scatter_mm, "mm", rows, found.prints),
                (f"scatter_turn{key}", found.scatter_turn_deg, "deg", rows, found.prints),
            ]
    for name, part, unit, rows, n in parts:
        digits = 2 if unit == "mm" else 3
        if round(part.value, digits) > 0.0:  # else it is less than these readings tell
            spelt = {
                key: f"{value:.{digits}f} {unit}"
                for key, value in (("value", part.value), ("low", part.low), ("high", part.high))
            }
            yield "press", name, {**spelt, "certain": NINE_IN_TEN, **_when(rows, n)}


def _of_shirts(one: Told) -> Reading:
    """Give the transfer that shirts weighed together tell of.

    What a transfer of 1 would leave on each of them stands in the reading as ``at_full_g``.
    """
    shirts = int(one.body["shirts"])
    value = float(one.body["gain_g"]) / shirts / float(one.body["at_full_g"])
    spread = math.hypot(BETWEEN_SHIRTS / math.sqrt(shirts), _balance(one.body, "gain_g"))
    return Reading(value, spread, one.day.isoformat(), repr(_group(one)))


def transfer_groups(told: Iterable[Told]) -> int:
    """Give of how many groups shirts were weighed: unlike in mesh, ink or strokes."""
    return len({_group(one) for one in told if one.of == "shirts weighed"})


def _group(one: Told) -> tuple[object, ...]:
    return tuple(one.body.get(key) for key in ("mesh", "ink", "strokes"))


def _balance(body: Mapping[str, Any], key: str) -> float:
    """Give what two readings of a balance add to the spread: each is off by up to half its last digit."""
    readability = float(body.get("readability_g", 0.0))
    return readability / math.sqrt(6.0) / float(body[key])


def _shared(rows: Sequence[Told], *keys: str) -> dict[str, Any]:
    """Give what all rows were read with alike."""
    alike = {key: {one.body.get(key) for one in rows} for key in keys}
    return {
        key: value
        for key, values in alike.items()
        if len(values) == 1 and (value := next(iter(values))) is not None
    }


def _when(rows: Sequence[Told], n: int) -> dict[str, Any]:
    return {"measured_on": max(one.day for one in rows), "n": n}


def _rounded(size: float) -> float:
    """Give a size to a hundredth, or to three digits that count from 10 on."""
    return round(size, 2) if size < 10.0 else float(f"{size:.3g}")
