"""The run card of a job: from its plugins' answers to hours, findings, words and JSON."""

from __future__ import annotations

import itertools
import json
import math
import re
from pathlib import Path
from typing import Any

import pytest
from shapely import box

from prep.cli import run
from prep.findings import Finding
from prep.job import Job
from prep.line import open_line
from prep.plugins import Plugins, find_plugins
from prep.request import Request
from prep.sections import CheckList
from prep.session import Session
from prep.shop import Ink, Press, Shop
from prep.testing import make_ask, make_job
from prep_base.answers import WaysToPrint
from prep_base.settings import Base
from prep_ink.answers import InkOnScreens
from prep_plan import prep_answers, prep_findings, prep_sections
from prep_plan.answers import WorkPlan
from prep_plan.order_of_work import ORDER_OF_WORK
from prep_plan.settings import Plan
from prep_plan.wording import sheet_sections

BLUE = "#1f3a5f"
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60" width="100mm" height="60mm">'
    '<path fill="#1f3a5f" d="M0 0H100V40H0z"/><path fill="#d9472f" d="M10 45H90V58H10z"/></svg>'
)


def _job(shirts: int = 24, ink: Ink | None = None, **plan: Any) -> Job:
    shop = Shop(inks=(ink,)) if ink is not None else Shop()
    tables = (Plan.model_validate(plan),)
    inks = {BLUE: ink.name} if ink is not None else None
    return make_job({BLUE: box(0, 0, 90, 60)}, shirts=shirts, shop=shop, inks=inks, tables=tables)


def _plan(job: Job, plugins: Plugins) -> WorkPlan:
    found = Session(plugins).ask_for(job)(WorkPlan)
    assert isinstance(found, WorkPlan)
    return found


def _findings(job: Job) -> dict[str, Finding]:
    ask = Session(find_plugins()).ask_for(job)
    return {f.kind: f for f in prep_findings(job=job, ask=ask)}


def test_hours_come_from_those_who_know() -> None:
    """Films from the stencils, pace from drying, test pulls and spoilt shirts from the ink."""
    plan = _plan(_job(), find_plugins())
    assert plan.lacking == ()
    rests = {entry.what: entry.rests for entry in plan.table.entries}
    assert rests["test pulls"] == "4 on scrap"
    assert rests["print"] == "25 shirts"  # one spoilt
    assert plan.waiting == 25
    hours = {entry.what: entry.hours.value for entry in plan.table.entries}
    assert hours["print"] == pytest.approx(25 * plan.per_shirt_s.value / 3600)
    assert hours["cure"] == pytest.approx(25 * 210 / 3600)


def test_alone_it_says_what_is_missing() -> None:
    """Without the others the hours are rougher, and each thing missing is a sentence."""
    job = _job()
    plan = prep_answers()[WorkPlan](job, make_ask({}))
    assert isinstance(plan, WorkPlan)
    assert len(plan.lacking) == 3
    assert [entry.what for entry in plan.table.entries] == [
        "mix inks", "line up", "print", "cure", "clean up",
    ]  # fmt: skip


def test_longer_than_a_day_and_more_than_can_lie() -> None:
    found = _findings(_job(200, rack=40))
    assert "Plan" in found["longer than a day"].do
    assert "there is room for 40" in found["more shirts than can lie to dry"].what
    assert "after each 40" in found["more shirts than can lie to dry"].do
    few = _findings(_job(10, rack=40))
    assert not {"longer than a day", "more shirts than can lie to dry"} & set(few)
    assert "more shirts than can lie to dry" not in _findings(
        _job(200, rack=40, cure_by="conveyor dryer")
    )


def test_a_mix_that_ends_before_the_run_does() -> None:
    """400 shirts take longer than an activated ink lasts; ten don't, nor does ink that keeps."""
    gold = Ink(name="gold", kind="discharge")
    found = _findings(_job(400, gold))["mix that won't last the run"]
    assert found.severity == "will fail"
    assert "gold is thrown away 6 h after mixing" in found.what
    times, each = map(int, re.findall(r"Mix (\d+) times, each for some (\d+) shirts", found.do)[0])
    assert each == math.ceil(412 / times)  # 12 of them spoilt
    assert (found.screen, found.colour) == (BLUE, BLUE)
    assert "mix that won't last the run" not in _findings(_job(10, gold))
    assert "mix that won't last the run" not in _findings(_job(400, Ink(name="gold")))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "front.svg").write_text(DRAWING)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.usefixtures("folder")
def test_the_card_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    """All its parts in working order, a line to tick for each step, cautions where they belong."""
    assert run(["plan", "front.svg", "--shirts", "30", "--set", "press.kind=simple press"]) == 0
    text = capsys.readouterr().out
    titles = ["SET UP", "ON EACH SHIRT", "KEEPING THE INK OPEN", "HOURS", "CURE AND CLEAN UP"]
    places = [text.index(title) for title in titles]
    assert places == sorted(places)
    assert "[ ] 1. Tack the board" in text
    assert "[ ] 3. Print screen 1" in text
    for danger in ("No heat gun on a screen", "kitchen oven", "safety data sheet"):
        assert danger in text


@pytest.mark.usefixtures("folder")
def test_the_card_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The same figures: hours sum to the whole, screens with their open times, what helps."""
    assert run(["plan", "front.svg", "--shirts", "30", "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert made["schema"] == "firstpull.plan/1"
    (setup,) = made["setups"]
    assert setup["whole_h"] == pytest.approx(sum(e["hours"] for e in setup["hours"]), abs=0.01)
    assert len(setup["drying"]["screens"]) == len(setup["screens"]) == 2
    for screen in setup["drying"]["screens"]:
        low, value, high = screen["idle_flooded_s"]
        assert 0 < low < value < high
        assert screen["idle_cleared_s"][1] < value
        assert 0 <= screen["fits"] <= 1


@pytest.mark.usefixtures("folder")
def test_the_json_has_what_the_card_has(capsys: pytest.CaptureFixture[str]) -> None:
    """Set-up with the ink put on, clean-up, and every caution where the card has one."""
    text, setup = _card(capsys, "press.kind=simple press", garment="#101830")
    told = [line.split(". ", 1)[1] for line in text.splitlines() if line.startswith("[ ]")]
    assert told[: len(setup["set_up"])] == setup["set_up"] != []
    assert told[-len(setup["clean_up"]) :] == setup["clean_up"] != []
    cautions = [
        line.removeprefix("Caution. ") for line in text.splitlines() if line.startswith("Caution.")
    ]
    assert setup["cautions"] == list(dict.fromkeys(cautions))
    assert len(cautions) >= 4
    for screen in setup["screens"]:
        assert f"{screen['ink_at_first_g']:.0f} g of {screen['ink']} on {screen['number']}" in text
        assert {"frame", "squeegee_mm", "off_contact_mm", "mesh"} <= set(screen)
    ends = {screen["to_shirt"] for screen in setup["drying"]["screens"]}
    assert ends == {setup["drying"]["to_shirt"]} == {24}


@pytest.mark.usefixtures("folder")
def test_without_drying_the_card_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", "front.svg", "--shirts", "30", "--without", "drying"]) == 0
    text = capsys.readouterr().out
    assert "KEEPING THE INK OPEN" not in text
    assert "Hours of printing are a rough guess" in text
    assert run(["plan", "front.svg", "--shirts", "30", "--without", "drying", "--json"]) == 0
    (setup,) = json.loads(capsys.readouterr().out)["setups"]
    assert setup["drying"] is None
    assert setup["drying_lacks"]


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize("form", [[], ["--json"]])
def test_a_plugin_that_fails_ends_the_card(
    form: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not taken for one that isn't there: status 3, the plugin's name, and no card."""

    def broken(job: Job, ask: object) -> None:
        raise ZeroDivisionError("no width")

    monkeypatch.setattr("prep_drying.forecast.drying_of", broken)
    assert run(["plan", "front.svg", "--shirts", "30", *form]) == 3
    said = capsys.readouterr()
    assert said.out == ""
    assert "drying" in said.err
    assert "ZeroDivisionError" in said.err


@pytest.mark.usefixtures("folder")
def test_the_sheet_has_the_run_and_the_hours() -> None:
    with open_line(Request(Path("front.svg"), shirts=30)) as line:
        report = line.report(line.job(line.setups[0]))
    titles = [section.title for section in report.sections if section.chapter == "job"]
    assert titles.index("Keeping the ink open") < titles.index("Hours")


@pytest.mark.usefixtures("folder")
def test_no_part_of_the_sheet_for_wet_hands_names_settings() -> None:
    """Neither tables and keys of settings nor options; the closing page's small print may."""
    for sets in ((), ("press.kind=simple press",)):
        with open_line(Request(Path("front.svg"), shirts=30, sets=sets)) as line:
            report = line.report(line.job(line.setups[0]))
        sections = [s for s in report.sections if s.chapter in ("job", "screen", "customer")]
        assert len(sections) > 15
        said = [(s.title, str(s.blocks)) for s in sections]
        named = re.compile(r".{40}(\.toml|\[\[|\[[a-z]+(\.[a-z]+)?\]|--[a-z]|\w+ = \")")
        assert not [(title, found[0]) for title, text in said for found in named.finditer(text)]


def test_inch_shops_read_fahrenheit_first() -> None:
    """200 °C are 392 °F, 40 °C are 104 °F; shops of metres read °C alone."""
    for units, hot in (
        ("inch", "some 104 °F (40 °C) film lifts"),
        ("metric", "some 40 °C film lifts"),
    ):
        job = make_job({BLUE: box(0, 0, 90, 60)}, shop=Shop.model_validate({"units": units}))
        ask = Session(find_plugins()).ask_for(job)
        said = str([s.blocks for s in sheet_sections(job, ask)])
        assert hot in said
        assert ("°F" in said) is (units == "inch")


@pytest.mark.usefixtures("folder")
def test_planned_pauses_count_in_the_hours(capsys: pytest.CaptureFixture[str]) -> None:
    """25 prints of 20 shirts, half an hour after every tenth print: two pauses, one hour more in all."""
    made = {}
    for name, sets in (("with", ["drying.pause=30 min", "drying.pause_every=10"]), ("without", [])):
        options = [part for text in ["press.kind=simple press", *sets] for part in ("--set", text)]
        assert run(["plan", "front.svg", "--shirts", "20", "--json", *options]) == 0
        (setup,) = json.loads(capsys.readouterr().out)["setups"]
        made[name] = setup
    hours = {entry["step"]: entry["hours"] for entry in made["with"]["hours"]}
    assert hours["planned pauses"] == pytest.approx(1.0, abs=0.01)
    care = ("wipe openings out", "mist the ink", "top up")  # pauses may ask for more of it
    plain = {
        name: setup["whole_h"] - sum(e["hours"] for e in setup["hours"] if e["step"] in care)
        for name, setup in made.items()
    }
    assert plain["with"] == pytest.approx(plain["without"] + 1.0, abs=0.01)
    assert "planned pauses" not in {entry["step"] for entry in made["without"]["hours"]}


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("plan.day=30 h", "must be at most 24 h"),
        ("plan.cure=25 h", "must be at most 24 h"),
        ("sequence.flash=400 s", "must be at most 5 min"),
        ("drying.fan_speed=9 m/s", "must be at most 5 m/s"),
        ("drying.platen_over=90 K", "must be at most 60 K"),
    ],
)
def test_bounds_are_told_with_their_units(
    given: str, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Also those of measured figures, whose bound belongs to a value within a table."""
    assert run(["plan", "front.svg", "--shirts", "2", "--set", given]) == 2
    assert capsys.readouterr().err.strip().endswith(says)


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize("flooded", [True, False])
def test_each_screens_page_says_whether_it_is_flooded(flooded: bool) -> None:
    """What is in force, on every screen, and nowhere else the other way."""
    sets = (f"drying.flooded={str(flooded).lower()}",)
    with open_line(Request(Path("front.svg"), shirts=6, sets=sets)) as line:
        report = line.report(line.job(line.setups[0]))
    said = [str(section.blocks) for section in report.sections if section.title == "Between prints"]
    assert len(said) == 2
    assert all(("flood after every print" in text) is flooded for text in said)
    assert all(("don't flood" in text) is not flooded for text in said)


TWO = ("press.kind=simple press", "press.working=colour by colour")


def _card(
    capsys: pytest.CaptureFixture[str], *sets: str, shirts: int = 24, garment: str = "#ffffff"
) -> tuple[str, Any]:
    """Give the run card as text and the first set-up of the same as JSON."""
    options = [part for text in sets for part in ("--set", text)] + ["--garment", garment]
    told = []
    for form in ([], ["--json"]):
        assert run(["plan", "front.svg", "--shirts", str(shirts), *options, *form]) == 0
        told.append(capsys.readouterr().out)
    return told[0], json.loads(told[1])["setups"][0]


@pytest.mark.usefixtures("folder")
def test_colour_by_colour_the_order_of_work_is_told_so(capsys: pytest.CaptureFixture[str]) -> None:
    """All shirts in one colour, dried, then all again in the next; no order of each shirt is told."""
    text, setup = _card(capsys, *TWO)
    assert "ON EACH SHIRT" not in text
    start, end = text.index("ORDER OF WORK"), text.index("KEEPING THE INK OPEN")
    steps = [line for line in text[start:end].splitlines() if line.startswith("[ ]")]
    assert "Line up screen 1" in steps[0]
    assert (
        "Pull 4 test prints on scrap in all: pulls that the page's steps ask for are among" in text
    )
    assert "4 test prints" in steps[0]
    assert "laid back" not in steps[0]
    assert "Tack the board" in steps[1]
    assert (
        "On each of the 25 shirts: lay the shirt on the board, straight, with the seam" in steps[2]
    )
    assert "then print screen 1" in steps[2]
    assert "then take the shirt off flat" in steps[2]
    dry, again, tack, second, *_ = steps[next(n for n, s in enumerate(steps) if "Let the" in s) :]
    assert "Let the shirts dry to the touch" in dry
    assert "Lay the first test pull back to its marks. Line up screen 2" in again
    assert "Tack the board" in tack
    assert "then print screen 2" in second
    assert [len(part["screens"]) for part in setup["order_of_work"]] == [1, 1]
    assert [step.split(". ", 1)[1] for step in steps] == setup["set_up"]
    rests = {entry["step"]: entry["what"] for entry in setup["hours"]}
    assert rests["test pulls"] == "4 on scrap, for each of 2 parts"


def _order_on_the_sheet(job: Job, findings: tuple[Finding, ...] = ()) -> tuple[str, ...]:
    plugins = find_plugins()
    ask = Session(plugins).ask_for(job)
    told = prep_sections(job=job, findings=findings, ask=ask)
    (section,) = (s for s in told if s.title == ORDER_OF_WORK)
    (steps,) = (block for block in section.blocks if isinstance(block, CheckList))
    return steps.steps


def test_the_sheet_has_the_whole_order_of_work_of_one_colour() -> None:
    """From mixing to the cure, each step before what rests on it."""
    steps = _order_on_the_sheet(_job())
    begins = [step.split(",")[0].split(" by")[0] for step in steps]
    assert begins == [
        f"Mix {BLUE}",
        "Hang the screen and put ink on",
        "Pull 4 test prints on scrap of the same cloth",
        "Tack the board thinly and evenly",
        "Lay the shirt on the board",
        "Print screen 1",
        "Take the shirt off flat",
        "Then the next shirt",
        "After the last shirt scrape the ink back",
        "Once dry",
    ]
    assert "with the seam of its collar 75 mm above the print" in steps[4]


def test_what_will_fail_is_settled_before_anything_is_made() -> None:
    """Two that will fail are the first step's; what is only at risk adds no step."""
    job = _job()
    found = tuple(
        Finding(severity, "narrow", "It is narrow.", "It tears.", "Widen it.")
        for severity in ("will fail", "will fail", "at risk")
    )
    steps = _order_on_the_sheet(job, found)
    assert steps[0].startswith("Don't cut yet: what 2 findings name will fail as it is.")
    assert steps[1:] == _order_on_the_sheet(job, found[2:])


def test_the_sheet_has_each_pass_and_flash_of_two_colours() -> None:
    """The first printed twice: two flashes, each with its seconds and cooling, at their places."""
    shop = Shop(press=Press(kind="simple press", stations=2))
    job = make_job(
        {BLUE: box(0, 0, 90, 60), "#d9472f": box(0, 70, 90, 90)}, shirts=24, shop=shop, passes=2
    )
    steps = _order_on_the_sheet(job)
    at = next(n for n, step in enumerate(steps) if step.startswith("Print screen 1"))
    one, other = (screen.ink for screen in job.screens)
    flash = "until dry to the touch: 30 s under the dryer, then 15 s to cool."
    assert steps[at] == f"Print screen 1, {one}, pass 1 of 2."
    assert steps[at + 1] == f"Flash {one} {flash}"
    assert steps[at + 2] == f"Print screen 1, {one}, pass 2 of 2."
    printed = [step for step in steps if step.startswith(("Print screen", "Flash"))]
    assert printed[-3:] == [
        f"Print screen 2, {other}, pass 1 of 2.",
        f"Flash {other} {flash}",
        f"Print screen 2, {other}, pass 2 of 2.",
    ]
    assert any(step.startswith("Hang screens 1 and 2 one after the other") for step in steps[:at])


def test_what_is_mixed_and_not_put_on_at_first_is_kept_covered() -> None:
    job = _job()
    ask = Session(find_plugins()).ask_for(job)
    mixed = round(ask(InkOnScreens).inks[0].to_mix_g)
    (section,) = (s for s in sheet_sections(job, ask) if s.title == "Between prints")
    (steps,) = section.blocks
    assert isinstance(steps, CheckList)
    begin, rest = steps.steps
    on = int(begin.removeprefix("Begin with ").split(" ")[0])
    assert rest == f"Keep the other {mixed - on} g of {BLUE} covered, for topping up."


@pytest.mark.usefixtures("folder")
def test_wiping_is_told_by_shirt_and_timed(capsys: pytest.CaptureFixture[str]) -> None:
    """After every 10 of 29 prints, 4 of them tests: before shirts 7 and 17, on either screen, 90 s each."""
    sets = ("press.kind=simple press", "drying.wipe_every=10", "plan.wipe=90 s")
    text, setup = _card(capsys, *sets)
    assert "shirt 7 and 17" in text
    lines = [line for line in setup["now_and_then"] if line["do"].startswith("wipe openings")]
    assert [line["before_shirts"] for line in lines] == [[7, 17], [7, 17]]
    (wiped,) = (entry for entry in setup["hours"] if entry["step"] == "wipe openings out")
    assert wiped["what"] == "4 times"
    assert wiped["hours"] == pytest.approx(4 * 90 / 3600, abs=1e-3)


@pytest.mark.usefixtures("folder")
def test_a_small_rack_is_a_pause(capsys: pytest.CaptureFixture[str]) -> None:
    """25 shirts, room for 10: full before shirts 11 and 21, and screens are washed for it each time."""
    text, setup = _card(capsys, "press.kind=simple press", "plan.rack=10")
    (line,) = (line for line in setup["now_and_then"] if "rack is full" in line["do"])
    assert line["before_shirts"] == [11, 21]
    assert line["screen"] is None
    assert "there is room for 10" in text
    (emptied,) = (e for e in setup["hours"] if e["step"] == "empty the rack in between")
    assert emptied["what"] == "2 times"
    washed = 2 * (2 * 720 + setup["per_shirt_s"]) / 3600
    assert emptied["hours"] == pytest.approx(washed, abs=1e-3)
    _, roomy = _card(capsys, "press.kind=simple press", "plan.rack=25")
    assert not any("rack" in line["do"] for line in roomy["now_and_then"])


@pytest.mark.usefixtures("folder")
def test_a_long_run_is_parted_into_days(capsys: pytest.CaptureFixture[str]) -> None:
    """Each day fits its hours, days follow on without a gap, and their hours are those of the table."""
    text, setup = _card(capsys, "press.kind=simple press", "plan.day=6 h", shirts=150)
    days = setup["by_day"]
    assert len(days) == setup["days"] > 2
    assert all(sum(part["hours"] for part in day) <= 6.0 for day in days)
    ends = [(part["first_shirt"], part["last_shirt"]) for day in days for part in day]
    assert ends[0][0] == 1
    assert ends[-1][1] == 155
    assert all(end + 1 == first for (_, end), (first, _) in itertools.pairwise(ends))
    after = sum(e["hours"] for e in setup["hours"] if e["when"] != "before")
    assert sum(part["hours"] for day in days for part in day) == pytest.approx(after, abs=0.02)
    assert f"Plan {len(days)} days of 6 h" not in text  # that stands with the findings
    assert "Days of 6 h" in text
    most = max(last - first + 1 for first, last in ends)
    assert setup["waiting"] == most
    assert f"{most} shirts lie to dry" in text
    assert "begin anew the next day" in text
    assert max(
        (shirt for line in setup["now_and_then"] for shirt in line["before_shirts"]), default=0
    ) <= max(last - first + 1 for first, last in ends)


@pytest.mark.usefixtures("folder")
def test_an_hour_is_too_short_a_day(capsys: pytest.CaptureFixture[str]) -> None:
    text, setup = _card(capsys, "press.kind=simple press", "plan.day=1 h")
    assert "A day of 1 h is too short" in text
    assert setup["by_day"] == []
    assert setup["days"] > 1


@pytest.mark.usefixtures("folder")
def test_the_way_that_is_made_takes_the_plans_hours() -> None:
    """The same for inks, lining up, test pulls, printing and clean-up; films stand beside them in each."""
    request = Request(
        Path("front.svg"), shirts=30, garment="#101830", sets=("press.kind=simple press",)
    )
    with open_line(request) as line:
        job = line.job(line.setups[0])
        ask = line.ask(job)
        way, plan = ask(WaysToPrint).way, ask(WorkPlan)
    hours = {entry.what: entry.hours.value for entry in plan.table.entries}
    shared = ("mix inks", "line up", "test pulls", "print", "flash", "cool", "clean up")
    films = way.films * job.settings(Base).film_time_s / 3600
    assert way.flashes > 0
    assert way.hours == pytest.approx(films + sum(hours[step] for step in shared))


ONE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60" width="100mm" height="60mm">'
    '<path fill="#d9472f" d="M10 5H90V58H10z"/></svg>'
)


def test_one_film_is_washed_between_its_inks(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """11 shirts one by one: washed 21 times, 10 min each; nothing lasts long enough to be misted."""
    (folder / "front.svg").write_text(ONE)
    sets = ("base.way=one film", "press.kind=simple press")
    text, setup = _card(capsys, *sets, shirts=10, garment="#101830")
    steps = [line.partition(".")[2] for line in text.splitlines() if line.startswith("[ ]")]
    wash = next(
        k for k, step in enumerate(steps) if step.startswith(" Wash the screen where it hangs")
    )
    assert "Print screen 2" in steps[wash + 1]
    assert "Wash the screen again and ink it with white" in steps[wash + 2]
    hours = {entry["step"]: entry for entry in setup["hours"]}
    assert hours["wash for the other ink"]["what"] == "21 times"
    assert hours["wash for the other ink"]["hours"] == pytest.approx(3.5, abs=1e-3)
    assert "mist the ink" not in hours
    assert "10 shirts, 1 more to make up for spoilt ones" in text
