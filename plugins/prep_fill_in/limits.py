"""The limits a detail is judged by: one table, each value with its range, source and status.

How a row is read: a detail at or above ``default`` passes, below it the detail is at risk, and
below ``low``, the lower end of what anyone calls workable, it will fail. ``high`` is what a careful
printer may ask for; it is shown, not applied. A shop that has measured its own limit puts it in
``[fill_in]`` of shop.toml and it takes the row's place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from prep_fill_in.shift import taken_from_gap_mm

Status = Literal["published", "from memory", "common practice", "guess", "measured here"]
Fabric = Literal["tee", "fleece"]

USUAL_STROKES = 2
"""Without drying between (common practice, no source)."""
MORE_A_STROKE = 0.25
"""A guess; no source found."""

_PRACTICE = "common practice, no source"
_GUESS = "a guess; no source found"
_IPC = (
    "limits of IPC-7525 for paste in metal stencils (0.66 and 1.5, quoted in SMT007 magazine,"
    " 8 May 2019; the clauses not read); an analogue only"
)


@dataclass(frozen=True, slots=True)
class Limit:
    """One row of the table.

    :param topic: what is limited; the key in ``[fill_in]`` of shop.toml where it can be set
    :param variant: when this row holds; empty = always
    :param default: at or above it a detail passes
    :param low: below it a detail will fail
    :param high: the upper end of the range
    :param unit: ``mm``, ``mm2``, ``pitches`` or empty for a bare ratio
    """

    topic: str
    variant: str
    what: str
    default: float
    low: float
    high: float
    unit: str
    source: str
    status: Status

    def __post_init__(self) -> None:
        """Check the range.

        :raises ValueError: default outside the range, or a range not above zero
        """
        if not 0.0 < self.low <= self.default <= self.high:
            raise ValueError(f"{self.topic}: {self.default} lies outside {self.low}..{self.high}")


LONG_RUN_WET_S = 2 * 3600.0
"""A run that keeps a screen wet for longer counts as long, however few its pulls: wet ink creeps under film
all the while. A guess: some 25 prints at 5 minutes each."""

TABLE: tuple[Limit, ...] = (
    Limit(
        "cutting", "", "distance of two knife cuts, else the film between them tears or drags",
        0.5, 0.25, 0.8, "mm", _GUESS, "guess",
    ),
    Limit(
        "weeding", "usual film", "opening whose film can be lifted out cleanly",
        1.0, 0.5, 1.5, "mm", "from memory, rest a guess; no source found", "from memory",
    ),
    Limit(
        "weeding", "thin film", "opening whose film can be lifted out cleanly",
        0.75, 0.5, 1.0, "mm", _PRACTICE + " (0.7-0.8 mm in thin film)", "common practice",
    ),
    Limit(
        "strip", "short run", "film strip between openings that stays down",
        1.0, 0.8, 2.0, "mm", _PRACTICE, "common practice",
    ),
    Limit(
        "strip", "long run", "film strip between openings that stays down",
        1.5, 1.0, 2.0, "mm", _PRACTICE + "; fails below what a short run needs",
        "common practice",
    ),
    Limit(
        "island", "short run", "width of a film island that stays down",
        2.0, 1.5, 3.0, "mm", _PRACTICE, "common practice",
    ),
    Limit(
        "island", "long run", "width of a film island that stays down",
        3.0, 2.0, 4.0, "mm", _PRACTICE + "; fails below what a short run needs",
        "common practice",
    ),
    Limit(
        "island_area", "short run", "area of a film island that stays down",
        4.0, 2.25, 9.0, "mm2", _PRACTICE + "; lower end a guess (1.5 mm square)",
        "common practice",
    ),
    Limit(
        "island_area", "long run", "area of a film island that stays down",
        8.0, 4.0, 16.0, "mm2", _PRACTICE + "; fails below what a short run needs",
        "common practice",
    ),
    Limit(
        "stroke", "tee", "printed line that stays whole on the knit",
        1.0, 0.3, 1.5, "mm",
        _PRACTICE + "; lower end: 0.012 in, a garment-transfer printer's detail guide",
        "common practice",
    ),
    Limit(
        "stroke", "fleece", "printed line that stays whole on the pile",
        2.0, 1.0, 3.0, "mm", _PRACTICE, "common practice",
    ),
    Limit(
        "gap", "one hit", "unprinted gap that stays open on the fabric",
        1.0, 0.4, 1.5, "mm", "0.040 in, a garment-transfer printer's detail guide",
        "published",
    ),
    Limit(
        "gap", "print, flash, print", "unprinted gap that stays open on the fabric",
        1.5, 0.6, 2.0, "mm", _PRACTICE, "common practice",
    ),
    Limit(
        "gain", "tee, one hit", "spread of the ink beyond each edge",
        0.2, 0.1, 0.3, "mm", _PRACTICE, "common practice",
    ),
    Limit(
        "gain", "tee, print, flash, print", "spread of the ink beyond each edge",
        0.3, 0.15, 0.45, "mm", "more than with one hit (" + _PRACTICE + "); how much is a guess",
        "guess",
    ),
    Limit(
        "gain", "fleece, one hit", "spread of the ink beyond each edge",
        0.3, 0.15, 0.45, "mm", "more than on a tee (" + _PRACTICE + "); how much is a guess",
        "guess",
    ),
    Limit(
        "gain", "fleece, print, flash, print", "spread of the ink beyond each edge",
        0.4, 0.2, 0.6, "mm", "more than with one hit (" + _PRACTICE + "); how much is a guess",
        "guess",
    ),
    Limit(
        "mesh", "", "threads' pitches across an opening or a film strip",
        2.0, 1.3, 3.0, "pitches",
        "from memory: line of two pitches; fails below opening + two threads, some 1.3 pitches",
        "from memory",
    ),
    Limit(
        "release_area", "", "opening's area over the area of its walls",
        0.66, 0.66, 0.66, "", _IPC, "published",
    ),
    Limit(
        "release_aspect", "", "width of a long opening over its depth",
        1.5, 1.5, 1.5, "", _IPC, "published",
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Bound:
    """A limit in force.

    :param at_risk_below: at or above it a detail passes
    :param fails_below: below it a detail will fail
    :param limit: the row it comes from
    :param own: true when the shop's own measured figure took the row's place
    """

    at_risk_below: float
    fails_below: float
    limit: Limit
    own: bool = False


@dataclass(frozen=True, slots=True)
class Conditions:
    """What decides which row holds.

    :param pulls: of the squeegee on this screen over the run
    :param counted: what is among them, to stand after their number; empty = nothing to say
    :param long_run_pulls: a run of more pulls is a long one
    :param wet_s: time that the screen lies wet over the run; ``None`` = not known
    :param long_run_wet_s: a run that keeps it wet for longer is a long one
    :param film_um: film and adhesive
    :param thin_film_um: film up to this counts as thin
    :param hits: times the colour is printed, flash between
    :param strokes: each time, without drying between; 0 = not known, two are reckoned with
    :param scatter_mm: how far a print strays from the press's mean place, one sigma each way
    :param between_strokes: how far strokes without drying between stray, as a share of that
    :param removable: film on adhesive that water loosens holds in any run as in a long one (guess)
    """

    pulls: int
    counted: str = ""
    long_run_pulls: int = 25
    wet_s: float | None = None
    long_run_wet_s: float = LONG_RUN_WET_S
    film_um: float = 80.0
    thin_film_um: float = 65.0
    fabric: Fabric = "tee"
    hits: int = 1
    strokes: int = 0
    scatter_mm: float = 0.0
    between_strokes: float = 0.25
    removable: bool = False

    @property
    def run(self) -> str:
        """``short run`` or ``long run``."""
        return "long run" if self.removable or self._by_pulls or self._by_hours else "short run"

    @property
    def _by_pulls(self) -> bool:
        return self.pulls > self.long_run_pulls

    @property
    def _by_hours(self) -> bool:
        return self.wet_s is not None and self.wet_s > self.long_run_wet_s

    @property
    def run_words(self) -> str:
        """``a long run (48 pulls)``, or what makes a short one as hard."""
        if self.wet_s is not None and self._by_hours and not self._by_pulls:
            return f"a long run ({self.pulls} pulls, and wet for some {self.wet_s / 3600.0:.1f} h)"
        if self.removable and not self._by_pulls:
            return f"{self.pulls} pulls on removable adhesive, as for a long run"
        counted = f", {self.counted}" if self.counted else ""
        return f"a {self.run} ({self.pulls} pulls{counted})"

    @property
    def hit(self) -> str:
        """``one hit`` or ``print, flash, print``."""
        return "one hit" if self.hits == 1 else "print, flash, print"

    @property
    def strokes_each(self) -> int:
        """Strokes without drying between, the usual two where they aren't known."""
        return self.strokes or USUAL_STROKES

    @property
    def shift_mm(self) -> tuple[float, float]:
        """What strokes that miss each other take from a gap: on one print in two, on one in ten."""
        return taken_from_gap_mm(
            self.hits, self.strokes_each, self.scatter_mm, self.between_strokes
        )


def row(topic: str, variant: str = "") -> Limit:
    """Give a row of the table.

    :raises KeyError: no such row
    """
    for limit in TABLE:
        if (limit.topic, limit.variant) == (topic, variant):
            return limit
    raise KeyError((topic, variant))


def in_force(
    own: Mapping[str, tuple[float, float | None]], conditions: Conditions
) -> Mapping[str, Bound]:
    """Give the bounds that hold on one screen, by topic.

    A gap on the fabric will fail where the spread from both its edges and strokes that miss each other
    close it on one print in two, and is at risk where they do on one in ten.

    :param own: topic -> (at risk below, fails below) as the shop measured them; where the second is
        ``None`` it keeps the table's proportion to the first
    """
    variants = {
        "cutting": "",
        "weeding": "thin film" if conditions.film_um <= conditions.thin_film_um else "usual film",
        "strip": conditions.run,
        "island": conditions.run,
        "island_area": conditions.run,
        "stroke": conditions.fabric,
        "gap": conditions.hit,
        "gain": f"{conditions.fabric}, {conditions.hit}",
        "mesh": "",
        "release_area": "",
        "release_aspect": "",
    }
    bounds = {topic: _bound(row(topic, variant), own) for topic, variant in variants.items()}
    if "gain" not in own:
        bounds["gain"] = _with_strokes(bounds["gain"], conditions.strokes_each)
    usual_mm, seldom_mm = conditions.shift_mm
    if seldom_mm > 0.0:
        bounds["shift"] = _shift(conditions, usual_mm, seldom_mm)
    gap, spread_mm = bounds["gap"], 2.0 * bounds["gain"].at_risk_below
    if "gap" not in own:
        closes = spread_mm + usual_mm
        may_close = max(gap.at_risk_below, spread_mm + seldom_mm)
        bounds["gap"] = Bound(may_close, closes, gap.limit)
    elif own["gap"][1] is None:
        # what was measured holds all that happens at this press
        closes = min(spread_mm + usual_mm, max(gap.at_risk_below, spread_mm))
        bounds["gap"] = Bound(max(gap.at_risk_below, closes), closes, gap.limit, gap.own)
    return bounds


def _with_strokes(gain: Bound, strokes: int) -> Bound:
    """Give the spread for so many strokes: a quarter more or less for each that isn't one of two.

    It stays within the row's range. A guess; the rows are taken to be for the usual two.
    """
    limit = gain.limit
    spread_mm = limit.default * (1.0 + MORE_A_STROKE * (strokes - USUAL_STROKES))
    spread_mm = min(max(spread_mm, limit.low), limit.high)
    return Bound(spread_mm, min(gain.fails_below, spread_mm), limit)


def _shift(conditions: Conditions, usual_mm: float, seldom_mm: float) -> Bound:
    passes, strokes = conditions.hits, conditions.strokes_each
    times = f"{passes} times " if passes > 1 else ""
    limit = Limit(
        "shift",
        f"{times}{strokes} stroke{'s' if strokes > 1 else ''}",
        "what strokes that miss each other take from a gap, on 1 print in 10 and in 2",
        seldom_mm,
        usual_mm,
        seldom_mm,
        "mm",
        f"the press's scatter of {conditions.scatter_mm:.2g} mm between passes,"
        f" {conditions.between_strokes:.0%} of it between strokes: a guess; no source found",
        "guess",
    )
    return Bound(seldom_mm, usual_mm, limit)


def _bound(limit: Limit, own: Mapping[str, tuple[float, float | None]]) -> Bound:
    if limit.topic not in own:
        return Bound(limit.default, limit.low, limit)
    at_risk, fails = own[limit.topic]
    kept = at_risk * limit.low / limit.default
    return Bound(at_risk, kept if fails is None else fails, limit, own=True)
