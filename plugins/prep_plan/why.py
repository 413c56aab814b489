"""How hours and days are worked out, by their likeliest values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from prep.worked import Given, Standing, Worked, parameter_given, section_of, standing
from prep_plan.course import in_one_go
from prep_plan.parameters import in_force
from prep_plan.planning import work_on
from prep_plan.settings import Plan
from prep_plan.timetable import cured, likely, seconds
from prep_plan.whole_order import whole_order
from prep_plan.words import hours

if TYPE_CHECKING:
    from prep.estimate import Parameter
    from prep.job import Ask, Job
    from prep.sections import Section
    from prep_drying.answers import Drying
    from prep_plan.answers import WorkPlan
    from prep_plan.course import Part, Stretch
    from prep_plan.timetable import Entry, Work

HOURS, NOW_AND_THEN = "How hours and days are worked out", "How top-ups and wiping are set"
"""Titles."""
DRYING = "How drying is worked out", "What drying rests on"
"""Titles of what drying tells of its own figures."""
_HOLDS = "One printer, one step after another; the range is that of the sum, draw by draw."
_OURS = "adds up steps; times as told below"
_TIMES = {
    "line_up": "lining up one screen",
    "mix": "weighing and stirring one ink",
    "clean": "washing one screen",
    "cure": "curing one shirt",
}
_OFTEN = {"wipe openings out": "wipe", "top up": "top_up", "mist the ink": "mist"}
_PACE: tuple[Standing, str] = "worked out", "laying, passes, flashing and cooling; see drying"


def why_section(job: Job, ask: Ask, plan: WorkPlan) -> Section:
    """Give how each line of the hours is worked out."""
    return section_of(
        HOURS,
        worked_of(job, ask, plan),
        "Worked with the likeliest value of each time; the range in brackets is the one in which hours lie"
        " eight times out of ten.",
    )


def worked_of(job: Job, ask: Ask, plan: WorkPlan) -> Iterator[Worked]:
    """Give each line of the timetable, its sums, and the days."""
    work = work_on(job, ask)
    chosen = job.settings(Plan)
    times = in_force(chosen)
    told = _Told(work, times, plan)
    for entry in plan.table.entries:
        yield told.line(entry)
    yield _sum("All of it", plan.table.entries, hours(plan.table.whole))
    press = [entry for entry in plan.table.entries if entry.when != "before"]
    yield _sum(
        "Press work, cure and clean-up", press, hours(plan.table.hours("at the press", "after"))
    )
    yield from told.stretches()
    yield from told.one_go()


def care_section(job: Job, drying: Drying) -> Section:
    """Give how what ink needs between prints is set."""
    return section_of(
        NOW_AND_THEN,
        care_of(job, drying),
        "All of it is read off the simulated run: 512 possible runs, print by print, in each of which all"
        " that is uncertain is drawn at once. What is planned in the order falls due by its own count.",
    )


def care_of(job: Job, drying: Drying) -> Iterator[Worked]:
    """Give each screen's first top-up, the shirt to wipe out before, and where its ink is misted from."""
    for screen in job.screens:
        run = drying.run[screen.key]
        of = f"screen {screen.number}, {screen.ink}"
        load = Given(
            "ink put on at first",
            run.load_g.value,
            "g",
            "worked out",
            "as a multiple of what must lie there",
            run.load_g.low,
            run.load_g.high,
        )
        between = Given(
            "from print to print",
            run.between_s.value,
            "s",
            "worked out",
            "laying, passes, flashing and cooling",
            run.between_s.low,
            run.between_s.high,
        )
        both = {"load": load, "between": between}
        for top_up in run.top_ups[:1]:
            yield _counted(
                "Top up first",
                "the shirt before which {load}, less what is printed and what dries off with {between},"
                " falls to what must lie before the blade; in the middle of the runs, and eight in ten"
                " from {low} to {high}",
                both | _range_of(top_up.shirt),
                top_up.shirt[1],
                f"before shirt {top_up.shirt[1]:.0f}",
                of,
            )
        if run.wipe_before:
            yield _counted(
                "Wipe out",
                "the last shirt before which the finest opening, left to dry for {between} from print to"
                " print, has clogged in no more than one run of ten",
                {"between": between},
                float(run.wipe_before),
                f"before shirt {run.wipe_before}",
                of,
            )
        if run.mist_from is not None:
            yield _counted(
                "Mist",
                "the shirt before which the ink before the blade, {load} at first and dried for {between}"
                " from print to print, has lost half of the water it may; in the middle of the runs, and"
                " eight in ten from {low} to {high}",
                both | _range_of(run.mist_from),
                run.mist_from[1],
                f"from shirt {run.mist_from[1]:.0f}",
                of,
            )


def _range_of(shirt: tuple[float, float, float]) -> dict[str, Given]:
    low, _, high = shirt
    return {
        "low": Given("earliest shirt", low, "", "worked out", "10 % of the runs"),
        "high": Given("latest shirt", high, "", "worked out", "90 % of the runs"),
    }


def _counted(
    name: str, formula: str, given: Mapping[str, Given], value: float, said: str, of: str
) -> Worked:
    holds = "Never beyond the last shirt, or where the screens are washed out."
    source = "read off the simulated run; see drying"
    return Worked(name, formula, given, value, "", said, holds, source, of, counted=True)


def order_why(planned: Sequence[tuple[Job, WorkPlan]]) -> Section:
    """Give how the hours of all set-ups together are worked out."""
    return section_of("How hours of the whole order are worked out", worked_of_order(planned))


def worked_of_order(planned: Sequence[tuple[Job, WorkPlan]]) -> Iterator[Worked]:
    """Give the sums over all set-ups, and the days they fill.

    :raises ValueError: no set-ups
    """
    order = whole_order(planned)
    mix = parameter_given(_TIMES["mix"], in_force(planned[0][0].settings(Plan))["mix"])
    given = {
        f"setup_{number}": Given(
            job.setup.name, plan.table.whole.value, "h", "worked out", "with that set-up"
        )
        for number, (job, plan) in enumerate(planned, start=1)
    }
    formula = " + ".join(f"{{{key}}}" for key in given)
    if order.once:
        formula += " − {once} × {mix} ÷ 3600"
        words = "times an ink is in several set-ups, but mixed once"
        given |= {"once": Given(words, float(order.once), "", "from the order"), "mix": mix}
    said = hours(order.whole)
    yield Worked("The whole order", formula, given, order.whole.value, "h", said, _HOLDS, _OURS)
    day = {
        "whole": Given("the whole order", order.whole.value, "h", "worked out", "as told here"),
        "day": Given(
            "a day's work",
            planned[0][1].day_h,
            "h",
            *standing(
                planned[0][0].settings(Plan), "day_s", "plan.day in shop.toml", "usual", "no source"
            ),
        ),
    }
    said = f"{order.days:.1f} days"
    holds = "As if all days were full; set-ups are parted by themselves."
    yield Worked("Days", "{whole} ÷ {day}", day, order.days, "days", said, holds, _OURS)


class _Told:
    """The work of a set-up, and what each of its lines is made of."""

    def __init__(self, work: Work, times: Mapping[str, Parameter], plan: WorkPlan) -> None:
        self.work, self.plan, self.times = work, plan, times
        one = {key: seconds(parameter) for key, parameter in times.items()}
        self.parts, self.likely = cured(work, one), likely(one)
        films = sum(part.films for part in work.parts)
        self.screens = Given("screens set up", float(films), "", "from the order")
        spoilt = "and shirts spoilt, see ink"
        self.shirts = Given(
            "shirts, spoilt ones too", float(work.shirts), "", "from the order", spoilt
        )
        self.tests = Given(
            "test pulls", float(work.tests), "", "from the order", "or usual, see ink"
        )
        cycle = work.shirt_s.value
        self.shirt = Given("a shirt at the press, all its layings", cycle, "s", *_PACE)
        self.time = {key: parameter_given(words, times[key]) for key, words in _TIMES.items()}

    def line(self, entry: Entry) -> Worked:
        """Tell one line of the timetable."""
        formula, given = self._of(entry)
        value = entry.hours.value
        return Worked(
            _capital(entry.what), formula, given, value, "h", hours(entry.hours), _HOLDS, _OURS
        )

    def _of(self, entry: Entry) -> tuple[str, dict[str, Given]]:
        work, time = self.work, self.time
        match entry.what:
            case "cut, weed and lay films":
                minutes = sum(film.value for film in work.films)
                source = "cutting, weeding and placing, see films"
                films = Given("minutes of all films together", minutes, "min", "worked out", source)
                return "{films} ÷ 60", {"films": films}
            case "mix inks":
                inks = Given("inks", float(work.inks), "", "from the order")
                return "{inks} × {mix} ÷ 3600", {"inks": inks, "mix": time["mix"]}
            case "line up":
                given = {"screens": self.screens, "line_up": time["line_up"]}
                return "{screens} × {line_up} ÷ 3600", given
            case "test pulls":
                return "{tests} × {shirt} ÷ 3600", {"tests": self.tests, "shirt": self.shirt}
            case "print":
                return self._printing()
            case "flash" | "cool":
                each = entry.hours.value * 3600.0 / work.shirts
                words = f"{entry.what}ing a shirt, all its layings"
                one = Given(words, each, "s", "worked out", "by the steps of printing; see drying")
                return "{shirts} × {one} ÷ 3600", {"shirts": self.shirts, "one": one}
            case "begin anew the next day":
                return self._anew()
            case "cure":
                return "{shirts} × {cure} ÷ 3600", {"shirts": self.shirts, "cure": time["cure"]}
            case "clean up":
                return "{screens} × {clean} ÷ 3600", {
                    "screens": self.screens,
                    "clean": time["clean"],
                }
        return self._stop(entry.what)

    def _printing(self) -> tuple[str, dict[str, Given]]:
        given = {"shirts": self.shirts, "shirt": self.shirt}
        dried = sum(
            one.value
            for part in self.work.parts
            for one in (part.flash_s, part.cool_s)
            if one is not None
        )
        if not dried > 0:
            return "{shirts} × {shirt} ÷ 3600", given
        given["dried"] = Given(
            "flashing and cooling among it",
            dried,
            "s",
            "worked out",
            "by the steps of printing; see drying",
        )
        return "{shirts} × ({shirt} − {dried}) ÷ 3600", given

    def _days(self) -> Sequence[Stretch]:
        days = self.plan.table.days
        return [stretch for day in days for stretch in day] or self._whole()

    def _whole(self) -> Sequence[Stretch]:
        return in_one_go(self.parts, self.work.shirts, self.work.tests, self.likely)

    def _stop(self, what: str) -> tuple[str, dict[str, Given]]:
        """Tell something that is done now and then, over all stretches and screens."""
        found = [
            (stop.times(stretch.first, stretch.last), stop.takes_s.value)
            for stretch in self._days()
            for stop in self.work.parts[stretch.part].stops
            if stop.what == what
        ]
        often = sum(times for times, _ in found)
        takes = sum(times * one for times, one in found) / often
        source = "expected from the run as simulated, or as planned"
        times = Given(f"times: {what}", often, "", "worked out", source)
        each = Given(
            f"each time: {what}", takes, "s", "worked out", "planned, or of the steps it is made of"
        )
        key = _OFTEN.get(what)
        if key is not None:
            each = parameter_given(f"each time: {what}", self.times[key])
        return "{often} × {takes} ÷ 3600", {"often": times, "takes": each}

    def _anew(self) -> tuple[str, dict[str, Given]]:
        """Tell what parting the run over days takes besides."""
        begun: set[int] = set()
        again: list[Part] = []
        for stretch in self._days():
            if stretch.part in begun:
                again.append(self.work.parts[stretch.part])
            begun.add(stretch.part)
        films = float(sum(part.films for part in again))
        cycles = sum(part.cycle_s.value for part in again)
        given = {
            "screens": Given(
                "screens set up again", films, "", "worked out", "as days part the run"
            ),
            "line_up": self.time["line_up"],
            "clean": self.time["clean"],
            "tests": self.tests,
            "cycles": Given("a shirt of each stretch begun anew", cycles, "s", *_PACE),
        }
        return "({screens} × ({line_up} + {clean}) + {tests} × {cycles}) ÷ 3600", given

    def stretches(self) -> Iterator[Worked]:
        """Tell the days where there are several: each is filled with shirts until it is full."""
        days = self.plan.table.days
        if len(days) < 2:
            return
        for number, day in enumerate(days, start=1):
            for stretch in day:
                of = f"day {number}, shirts {stretch.first} to {stretch.last}"
                yield self._stretch("Hours of a day", stretch, of, f"{stretch.hours:.1f} h")

    def _stretch(self, name: str, stretch: Stretch, of: str, said: str) -> Worked:
        part = self.parts[stretch.part]
        stops = sum(s.takes_s.value * s.times(stretch.first, stretch.last) for s in part.stops)
        given = {
            "screens": Given("screens of this part", float(part.films), "", "from the order"),
            "line_up": self.time["line_up"],
            "clean": self.time["clean"],
            "tests": self.tests,
            "shirts": Given(
                "shirts printed",
                float(stretch.shirts),
                "",
                "worked out",
                "as many as the day holds",
            ),
            "cycle": Given("a shirt of this part", part.cycle_s.value, "s", *_PACE),
        }
        formula = "{screens} × ({line_up} + {clean}) + ({tests} + {shirts}) × {cycle}"
        if part.cure_s is not None:
            formula += " + {shirts} × {cure}"
            given["cure"] = self.time["cure"]
        if stops:
            formula += " + {stops}"
            given["stops"] = Given(
                "what is done now and then", stops, "s", "worked out", "as told for the whole run"
            )
        holds = f"As many shirts as a day of {self.plan.day_h:.3g} h holds, by likeliest times."
        return Worked(
            name, f"({formula}) ÷ 3600", given, stretch.hours, "h", said, holds, _OURS, of
        )

    def one_go(self) -> Iterator[Worked]:
        """Tell what it would be in one go, where the sheet does."""
        table = self.plan.table
        if not self.plan.longer_by_days:
            return
        given = {
            f"part_{k}": Given(
                f"part {k}, all shirts",
                s.hours,
                "h",
                "worked out",
                "as a day's hours, with all shirts",
            )
            for k, s in enumerate(self._whole(), start=1)
        }
        formula = " + ".join(f"{{{key}}}" for key in given)
        said = f"{table.one_go_h:.1f} h"
        yield Worked("In one go", formula, given, table.one_go_h, "h", said, "", _OURS)


def _sum(name: str, entries: Sequence[Entry], said: str) -> Worked:
    given = {
        f"line_{k}": Given(entry.what, entry.hours.value, "h", "worked out", "as told above")
        for k, entry in enumerate(entries)
    }
    formula = " + ".join(f"{{{key}}}" for key in given)
    value = sum(entry.hours.value for entry in entries)
    return Worked(name, formula, given, value, "h", said, _HOLDS, _OURS)


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]
