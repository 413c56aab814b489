"""How the limits that details are judged by are worked out, with a job's values."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from prep.phrases import percent
from prep.worked import Given, Standing, Worked, in_units, length_given, section_of, standing
from prep_fill_in import wording
from prep_fill_in.limits import MORE_A_STROKE, USUAL_STROKES, Bound, Conditions, Limit
from prep_fill_in.settings import FillIn
from prep_fill_in.shift import DRAWS

if TYPE_CHECKING:
    from prep.job import Job
    from prep.sections import Section
    from prep.shop import Film
    from prep_fill_in.details import HeldBy, Judgement
    from prep_fill_in.remedy import Resolution
    from prep_fill_in.trouble import OnScreen
    from prep_fill_in.wording import Units

_TITLE = "How limits of details are worked out"
_PLAIN = ("weeding", "cutting", "strip", "island", "island_area", "stroke")
_MM2_PER_IN2 = 25.4**2
_MARKS = "marks"
_RISK, _FAIL = "at risk below", "fails below"
_TENTH, _HALF = "1 print in 10", "1 print in 2"
_SOURCE = "which limit counts: common practice, no source"
_CLOTH: tuple[Standing, str] = "worked out", "as told with the mesh"
_RANKS = (
    "An analogue only, from paste in metal stencils: below it a detail is at risk, and none fails."
)


def why_section(job: Job, screens: Sequence[OnScreen]) -> Section:
    """Give how each limit came about."""
    more = (
        "A detail at its upper limit or above passes; below it it is at risk, and below the lower one it"
        " will fail. Of several limits on one detail the largest decides.",
    )
    return section_of(_TITLE, worked_of(job, screens), *more)


def worked_of(job: Job, screens: Sequence[OnScreen]) -> Iterator[Worked]:
    """Give each limit once, with the screens that it holds on."""
    known: dict[tuple[str, str, str], tuple[Worked, list[str]]] = {}
    for found in screens:
        for one in _of_screen(job, found.judgement):
            key = one.name, one.with_values, one.holds
            known.setdefault(key, (one, []))[1].append(_named(found.judgement))
    for one, on in known.values():
        yield replace(one, of=_all(on))


def _named(judgement: Judgement) -> str:
    return _MARKS if judgement.screen is None else str(judgement.screen.number)


def _all(on: Iterable[str]) -> str:
    """Name screens by their numbers, and the marks: ``screens 1, 2 and marks``."""
    numbers = [one for one in on if one != _MARKS]
    named = [f"screen{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}"] if numbers else []
    return " and ".join([*named, *([_MARKS] if _MARKS in on else [])])


@dataclass(frozen=True, slots=True)
class _Row:
    """A limit in force on a screen.

    :param own: (at risk below, fails below) as the shop has measured it, the second where it has
    """

    bound: Bound
    units: Units
    own: tuple[float, float | None] | None
    source: str
    holds: str

    @property
    def limit(self) -> Limit:
        """The row of the list."""
        return self.bound.limit

    def listed(self, words: str, value: float) -> Given:
        """Give a figure of the list."""
        return self._given(words, value, self.limit.status, self.limit.source)

    def measured(self, words: str, value: float) -> Given:
        """Give a figure that the shop has in place of the list's."""
        here = self.source.startswith("measured")
        return self._given(words, value, "measured here" if here else "stated", self.source)

    def _given(self, words: str, value: float, status: Standing, source: str) -> Given:
        told, spelt = _in_shop(value, self.limit.unit, self.units)
        return Given(words, told, spelt, status, source)

    def worked(
        self, name: str, formula: str, given: Mapping[str, Given], value: float, said: str = ""
    ) -> Worked:
        """Give a figure made from it, told as the table of limits has it."""
        unit = "mm" if self.limit.unit == "pitches" else self.limit.unit
        told, spelt = _in_shop(value, unit, self.units)
        said = said or wording.sized(value, unit, self.units)
        return Worked(name, formula, given, told, spelt, said, self.holds, _SOURCE)


def _of_screen(job: Job, judgement: Judgement) -> Iterator[Worked]:
    held, units = judgement.held_by, job.shop.units
    own, sources = job.settings(FillIn).own(), job.settings(FillIn).sources()

    def row(topic: str) -> _Row:
        holds = _holds(topic, held.conditions)
        return _Row(held.bounds[topic], units, own.get(topic), sources.get(topic, ""), holds)

    for topic in _PLAIN:
        yield from _plain(row(topic))
    yield from _spread(row("gain"), held.conditions)
    if "shift" in held.bounds:
        yield from _shift(row("shift"), held)
    yield from _gap(row("gap"), held)
    if held.mesh is not None:
        yield from _mesh(row("mesh"), held.mesh)
    yield from _release(row("release_area"), row("release_aspect"), held, job.shop.film)
    yield from _stays_open(held, units)


def _name(limit: Limit, words: str = "") -> str:
    return limit.what[0].upper() + limit.what[1:] + (f": {words}" if words else "")


def _plain(row: _Row) -> Iterator[Worked]:
    """Tell of limits that stand as they are, listed or measured."""
    limit, bound = row.limit, row.bound
    if row.own is None:
        risk, risk_given = "{row}", {"row": row.listed("at risk below, as listed", limit.default)}
        fail, fail_given = "{row}", {"row": row.listed("fails below, as listed", limit.low)}
    else:
        risk, risk_given = "{own}", {"own": row.measured("at risk below, in this shop", row.own[0])}
        fail, fail_given = _own_fails(row, row.own)
    yield row.worked(_name(limit, _RISK), risk, risk_given, bound.at_risk_below)
    yield row.worked(_name(limit, _FAIL), fail, fail_given, bound.fails_below)


def _own_fails(row: _Row, own: tuple[float, float | None]) -> tuple[str, dict[str, Given]]:
    """Tell of the lower limit of a shop's own, which keeps the list's proportion where it isn't known."""
    if own[1] is not None:
        return "{own}", {"own": row.measured("fails below, in this shop", own[1])}
    return "{own} × {fails} ÷ {passes}", {
        "own": row.measured("at risk below, in this shop", own[0]),
        "fails": row.listed("fails below, as listed", row.limit.low),
        "passes": row.listed("at risk below, as listed", row.limit.default),
    }


def _spread(row: _Row, at: Conditions) -> Iterator[Worked]:
    limit, value = row.limit, row.bound.at_risk_below
    if row.own is not None:
        own = {"own": row.measured("spread, in this shop", value)}
        yield row.worked(_name(limit), "{own}", own, value)
        return
    counted: tuple[Standing, str] = (
        ("worked out", "as its ink is") if at.strokes else ("usual", "where ink isn't worked out")
    )
    given = {
        "usual": row.listed(f"spread by {USUAL_STROKES} strokes, as listed", limit.default),
        "more": Given("more with each further stroke", MORE_A_STROKE, "", "guess", "no source"),
        "strokes": Given("strokes of a print", float(at.strokes_each), "", *counted),
        "least": row.listed("least, as listed", limit.low),
        "most": row.listed("most, as listed", limit.high),
    }
    within = (
        f"smaller of (larger of ({{usual}} × (1 + {{more}} × ({{strokes}} − {USUAL_STROKES}));"
        " {least}); {most})"
    )
    yield row.worked(_name(limit), within, given, value)


def _shift(row: _Row, held: HeldBy) -> Iterator[Worked]:
    """Tell what is taken by strokes that stray, from draws whose scatter is one."""
    at = held.conditions
    scatter = length_given(
        "press's scatter", at.scatter_mm, row.units, "worked out", "as told there"
    )
    prints = f"of {at.hits} × {at.strokes_each} strokes"
    for words, value in ((_TENTH, row.bound.at_risk_below), (_HALF, row.bound.fails_below)):
        span = Given(
            f"how far apart the outermost {prints} fall, in scatters, {words}",
            value / at.scatter_mm,
            "",
            "worked out",
            f"{DRAWS:,} prints drawn at random",
        )
        given = {"span": span, "scatter": scatter}
        yield row.worked(
            f"Strokes that miss each other, {words}", "{span} × {scatter}", given, value
        )


def _gap(row: _Row, held: HeldBy) -> Iterator[Worked]:
    """Tell from where on a gap stays open: spread from both its edges, and what strays, close it."""
    bound, units = row.bound, row.units
    usual_mm, seldom_mm = held.conditions.shift_mm
    spread_mm = held.bounds["gain"].at_risk_below
    here: tuple[Standing, str] = ("worked out", "as told here")
    spread = {"spread": length_given("spread of the ink", spread_mm, units, *here)}
    half = {"half": length_given(f"lost to strokes, {_HALF}", usual_mm, units, *here)}
    closes, closing = "2 × {spread} + {half}", spread | half
    if row.own is None:
        tenth = length_given(f"lost to strokes, {_TENTH}", seldom_mm, units, *here)
        own = {"own": row.listed("at risk below, as listed", row.limit.default)}
        may_close, may_closing = (
            "larger of ({own}; 2 × {spread} + {tenth})",
            own | spread | {"tenth": tenth},
        )
    elif row.own[1] is not None:
        closes, closing = _own_fails(row, row.own)
        may_close, may_closing = (
            "{own}",
            {"own": row.measured("at risk below, in this shop", row.own[0])},
        )
    else:
        # what was measured holds all that happens at this press
        own = {"own": row.measured("at risk below, in this shop", row.own[0])}
        closes = "smaller of (2 × {spread} + {half}; larger of ({own}; 2 × {spread}))"
        closing |= own
        may_close, may_closing = f"larger of ({{own}}; {closes})", closing
    yield row.worked(_name(row.limit, _RISK), may_close, may_closing, bound.at_risk_below)
    yield row.worked(_name(row.limit, _FAIL), closes, closing, bound.fails_below)


def _mesh(row: _Row, mesh: Resolution) -> Iterator[Worked]:
    def of(words: str, um: float) -> Given:
        return length_given(words, um / 1000.0, row.units, "worked out", f"mesh {mesh.name}")

    cloth = {
        "opening": of("its opening", mesh.opening_um),
        "thread": of("its thread", mesh.thread_um),
    }
    pitches = {
        "pitches": row.listed("pitches across", row.bound.at_risk_below),
        "pitch": of("its pitch", mesh.pitch_um),
    }
    fails = "{opening} + 2 × {thread}"
    for words, formula, given, value in (
        (
            _RISK,
            f"larger of ({{pitches}} × {{pitch}}; {fails})",
            pitches | cloth,
            mesh.resolves_mm(row.bound.at_risk_below),
        ),
        (_FAIL, fails, cloth, mesh.fails_below_mm()),
    ):
        name, said = f"Mesh {mesh.name}: {words}", wording.fine(value, row.units)
        yield row.worked(name, formula, given, value, said)


def _release(area: _Row, aspect: _Row, held: HeldBy, film: Film) -> Iterator[Worked]:
    ratio = area.bound.at_risk_below
    listed = {"ratio": area.listed("as listed", ratio)}
    yield replace(area.worked(_name(area.limit), "{ratio}", listed, ratio), holds=_RANKS)
    stated = standing(film, "thickness_um", "film.thickness in shop.toml", "usual", "")
    film_mm, cloth_mm = held.conditions.film_um / 1000.0, held.cloth_um / 1000.0
    given = {
        "ratio": aspect.listed("width over depth, as listed", aspect.bound.at_risk_below),
        "film": length_given("film with its adhesive", film_mm, aspect.units, *stated),
        "cloth": length_given("mesh, its thickness", cloth_mm, aspect.units, *_CLOTH),
    }
    slot_mm = aspect.bound.at_risk_below * held.depth_mm
    yield Worked(
        "Long opening that lets go of its ink",
        "{ratio} × ({film} + {cloth})",
        given,
        *in_units(slot_mm, aspect.units),
        wording.fine(slot_mm, aspect.units),
        _RANKS,
        aspect.limit.source,
    )


def _stays_open(held: HeldBy, units: Units) -> Iterator[Worked]:
    dries = held.dries
    if dries is None:
        return
    for words, size, share in (
        (_RISK, dries.at_risk_below_mm, dries.risk),
        (_FAIL, dries.fails_below_mm, dries.fail),
    ):
        formula = (
            f"widest opening that dries shut in {percent(share)} more of the runs followed than one"
            " {wide} wide"
        )
        wide = length_given(
            "a wide opening", dries.wide_mm, units, "usual", "none dries later than it"
        )
        said = wording.fine(size, units) if size else "none"
        told, unit = in_units(size, units)
        name = f"Opening that stays open for the run: {words}"
        source = "runs followed, see drying"
        yield Worked(name, formula, {"wide": wide}, told, unit, said, source=source, counted=True)


def _holds(topic: str, at: Conditions) -> str:
    """Say what chose this row of the list."""
    if topic in ("strip", "island", "island_area"):
        long = f"over {at.long_run_pulls} pulls or {at.long_run_wet_s / 3600.0:g} h wet"
        return f"For {at.run_words}; long: {long}, or film that water loosens."
    if topic == "weeding":
        return f"For film of {at.film_um:g} µm; thin: up to {at.thin_film_um:g} µm."
    if topic in ("stroke", "gain"):
        hit = f", {at.hit}" if topic == "gain" else ""
        return f"For {at.fabric}{hit}."
    return f"For {at.hit}." if topic == "gap" else ""


def _in_shop(value: float, unit: str, units: Units) -> tuple[float, str]:
    if unit == "mm":
        return in_units(value, units)
    if unit == "mm2":
        return (value / _MM2_PER_IN2, "in²") if units == "inch" else (value, "mm²")
    return value, unit
