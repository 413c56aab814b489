"""The order of printing, flashing and rounds: rules, overrides, what is refused, what is said."""

from __future__ import annotations

import dataclasses
import itertools
import re
from pathlib import Path

import pytest
from pydantic import ValidationError
from shapely import box

import prep_sequence
from prep.cli import run
from prep.errors import SettingsError
from prep.job import Job
from prep.line import open_line
from prep.order import ColourChoice
from prep.request import Request
from prep.screens import PrintOrder
from prep.sections import Caution, CheckList, Table
from prep.shop import Ink, OwnKind, Press, Shop
from prep.testing import as_multipolygon, make_ask, make_job
from prep_sequence.answers import PrintSteps
from prep_sequence.ordering import AFTER_DISCHARGE, ALONE, DISCHARGE, Ranked, by_rule, order_of
from prep_sequence.settings import SequenceOrder
from prep_sequence.steps import steps_of
from prep_sequence.trouble import findings_of
from prep_sequence.useless import checked_order
from prep_sequence.wording import screen_sections, sections_of
from prep_sequence.working import parts_of
from prep_stencils.counting import findings_of_screens

CREAM, RED, NAVY = "#f4e8c8", "#c03030", "#101830"
SIDE_BY_SIDE = {NAVY: box(0, 0, 10, 10), RED: box(10, 0, 20, 10), CREAM: box(20, 0, 30, 10)}


def job_of(colours: dict[str, object] | None = None, **more: object) -> Job:
    """Three squares side by side, dark one painted first, on a white shirt."""
    shop = Shop(press=Press(kind="simple press"))
    given = {"garment": "#ffffff", "shop": shop, **more}
    return make_job(colours or SIDE_BY_SIDE, **given)  # type: ignore[arg-type]  # as given


def asked(**values: object) -> SequenceOrder:
    return SequenceOrder.model_validate(values)


def with_base(job: Job, does: str = "base") -> Job:
    """Add a base of white under everything."""
    region = as_multipolygon(box(0, 0, 30, 10))
    base = dataclasses.replace(
        job.screens[0], key="base", ink="base white", colour="#ffffff", region=region, does=does,
        film="base", number=len(job.screens) + 1,
    )  # fmt: skip
    return dataclasses.replace(job, screens=(*job.screens, base))


def in_order(job: Job, order: PrintOrder | None = None) -> Job:
    """Apply an order as the core does."""
    order = order or order_of(job)
    by_key = {screen.key: screen for screen in job.screens}
    screens = tuple(
        dataclasses.replace(
            by_key[key],
            number=number,
            placed=order.reasons.get(key, ""),
            passes=order.passes.get(key, by_key[key].passes),
        )
        for number, key in enumerate(order.keys, 1)
    )
    return dataclasses.replace(job, screens=screens)


def does(steps: PrintSteps) -> list[str]:
    return [step.does for step in steps.steps]


def test_light_before_dark_whatever_was_painted_first() -> None:
    """Navy is painted first, and printed last."""
    order = order_of(job_of())
    assert order.keys == (CREAM, RED, NAVY)
    assert order.reasons[CREAM] == f"Lighter than {RED}: dark ink covers the edge of light ink."
    assert order.reasons[NAVY] == "Darkest, so it covers the edges of all before it."


def test_as_light_as_each_other_goes_by_paint() -> None:
    """Lightness 50, 48 and 46 with a step of 5: as painted; 44 is darker than 50 by more."""
    ranked = [Ranked(str(at), str(at), False, False, at, painted) for painted, at in
              enumerate((46.0, 44.0, 50.0, 48.0))]  # fmt: skip
    made = by_rule(ranked, 5.0)
    assert [one.key for one in made] == ["46.0", "50.0", "48.0", "44.0"]
    assert "painted below" in made[0].reason


def test_base_first_then_discharge() -> None:
    """A discharge ink goes before lighter ink, a base before both."""
    shop = Shop(inks=(Ink(name=RED, kind="discharge"),))
    order = order_of(with_base(job_of(shop=shop)))
    assert order.keys == ("base", RED, CREAM, NAVY)
    assert order.reasons[RED] == DISCHARGE


def test_one_colour_alone_is_not_the_darkest() -> None:
    """White after discharge, and a colour on a base, have nothing to be darker than."""
    red = Ranked("r", "red", False, True, 48.0, 1)
    white = Ranked("w", "white", False, False, 100.0, 2)
    base = Ranked("b", "base", True, False, 100.0, 0)
    assert by_rule([white, red], 5.0)[-1].reason == AFTER_DISCHARGE
    assert by_rule([white, base], 5.0)[-1].reason == ALONE


def test_the_order_may_say_otherwise() -> None:
    """What it names comes first, by colour or ink; the rest by rule; the base before all."""
    job = with_base(job_of(inks={NAVY: "Ink Blue"}, tables=[asked(order=["ink blue"])]))
    order = order_of(job)
    assert order.keys == ("base", NAVY, CREAM, RED)
    assert order.reasons[NAVY] == "The order asks for it."
    assert order.reason == "Printed in the order that order.toml asks for."


@pytest.mark.parametrize(
    ("wanted", "reasons"),
    [
        ([RED], {CREAM: f"Lighter than {NAVY}: dark ink covers the edge of light ink.",
                 NAVY: "Darkest, so it covers the edges of all before it."}),
        ([NAVY], {CREAM: f"Lighter than {RED}: dark ink covers the edge of light ink.",
                  RED: "Darkest of those that the order doesn't name, so it covers their edges."}),
        ([NAVY, RED], {CREAM: "After those that the order names."}),
        ([NAVY, RED, CREAM], {}),
    ],
)  # fmt: skip
def test_reasons_after_those_named_are_true(wanted: list[str], reasons: dict[str, str]) -> None:
    """None is called lighter than one printed before it, nor the darkest where a darker one was."""
    for job in (
        job_of(tables=[asked(order=wanted)]),
        with_base(job_of(tables=[asked(order=wanted)])),
    ):
        told = dict(order_of(job).reasons)
        told.pop("base", None)
        assert {key: told.pop(key) for key in wanted} == dict.fromkeys(
            wanted, "The order asks for it."
        )
        assert told == reasons


def test_discharge_after_those_named_says_so() -> None:
    """It can't claim that no ink lies there before it."""
    shop = Shop(inks=(Ink(name=RED, kind="discharge"),))
    order = order_of(job_of(shop=shop, tables=[asked(order=[NAVY])]))
    assert order.keys == (NAVY, RED, CREAM)
    assert order.reasons[RED].startswith("After those that the order names; first of the rest")


def test_no_reason_names_a_screen_on_its_wrong_side_where_frames_are_shared() -> None:
    """Greys of all orders, films and names: who is lighter goes before, who lies above goes after."""
    greys = ["#e0e0e0", "#b0b0b0", "#ababab", "#606060", "#202020"]
    shapes = {grey: box(60 * k, 0, 60 * k + 10, 10) for k, grey in enumerate(greys)}
    seen = set()
    jobs = [
        job_of({grey: shapes[grey] for grey in painted}, tables=[asked(order=named)])
        for painted in (greys, greys[::-1])
        for named in ([], *([grey] for grey in greys))
    ]
    for job, pair in itertools.product(jobs, itertools.combinations(greys, 2)):
        screens = tuple(
            dataclasses.replace(s, film="both") if s.key in pair else s for s in job.screens
        )
        order = order_of(dataclasses.replace(job, screens=screens))
        place = {key: k for k, key in enumerate(order.keys)}
        for key, reason in order.reasons.items():
            for words, before in ((r"Lighter than", True), (r"painted below", True),
                                  (r"painted above", False), (r"^After #", False),
                                  (r"^Before #", True)):  # fmt: skip
                if re.search(words, reason):
                    other = re.findall(r"#\w{6}", reason)[0]
                    assert (place[key] < place[other]) == before, (order.keys, key, reason)
                    seen.add(words)
            if reason.startswith("Darkest, so"):
                done = order.keys[: place[key]]
                assert all(int(one[1:3], 16) > int(key[1:3], 16) for one in done)
                seen.add("Darkest")
    assert {"Lighter than", "painted below", "^After #", "Darkest"} <= seen


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"order": ["#123456"]}, f"sequence.order: no screen prints #123456 - there are {NAVY}"),
        ({"flash_after": ["pink"]}, "sequence.flash_after: no screen prints pink - there are"),
        ({"order": [RED, "blood"]}, "blood names a screen that is named before - take it out"),
        (
            {"flash_after": [RED], "no_flash_after": ["blood"]},
            "sequence.no_flash_after: it names blood, and so does flash_after - take it out",
        ),
        ({"order": [RED, "base"]}, "base is a base and would cover blood - name it first"),
    ],
)
def test_what_cannot_be_is_refused(values: dict[str, object], says: str) -> None:
    """One line with file, key and remedy."""
    job = with_base(job_of(inks={RED: "blood"}, tables=[asked(**values)]))
    with pytest.raises(SettingsError) as refused:
        order_of(job)
    what, do = says.split(" - ")
    assert what in refused.value.lines()[0]
    assert do in " ".join(refused.value.lines())


def test_one_ink_on_two_screens_must_be_named_by_colour() -> None:
    """Two colours printed with one ink."""
    job = job_of(inks={RED: "mix", NAVY: "mix"}, tables=[asked(order=["mix"])])
    with pytest.raises(SettingsError, match="mix is the ink of"):
        order_of(job)


@pytest.mark.parametrize(
    "values",
    [
        {"order": [RED, RED.upper()]},
        {"flash_after": [RED], "no_flash_after": [RED]},
    ],
)
def test_contradictions_are_refused(values: dict[str, object]) -> None:
    """Twice in one list, and in both lists that exclude each other."""
    with pytest.raises(ValidationError):
        asked(**values)


def test_white_not_in_the_shops_list_is_taken_as_opaque_white() -> None:
    """As everywhere else, so it is printed twice on dark too."""
    colours = {"#ffffff": box(0, 0, 10, 10), RED: box(20, 0, 30, 10)}
    assert order_of(make_job(colours, garment="#101010", shade="dark")).passes == {"#ffffff": 2}


def test_a_screen_made_for_discharge_goes_first_though_its_ink_is_not_listed() -> None:
    """What the screen says of its ink counts where the shop's list says nothing; it soaks in."""
    job = job_of()
    screens = tuple(
        dataclasses.replace(s, kind="discharge" if s.key == RED else None) for s in job.screens
    )
    job = in_order(dataclasses.replace(job, screens=screens))
    assert [s.key for s in job.screens] == [RED, CREAM, NAVY]
    assert job.screens[0].placed == DISCHARGE
    assert does(steps_of(job)) == ["print", "print", "flash", "print"]


def test_white_on_dark_is_printed_twice_where_nothing_is_stated() -> None:
    """Opaque white on a dark shirt: 2 passes; stated 1 stays 1; on a light shirt 1."""
    white = "#ffffff"
    shop = Shop(inks=(Ink(name=white, kind="opaque white"),))
    colours = {white: box(0, 0, 10, 10), RED: box(20, 0, 30, 10)}
    dark = make_job(colours, shop=shop, garment="#101010", shade="dark")
    assert order_of(dark).passes == {white: 2}
    choice = ColourChoice.model_validate({"hex": white, "passes": 1})
    stated = dataclasses.replace(dark, setup=dataclasses.replace(dark.setup, colours=(choice,)))
    assert order_of(stated).passes == {}
    assert order_of(make_job(colours, shop=shop, garment="#e0e0e0")).passes == {}


def test_ink_that_stands_up_is_flashed_before_the_next_screen() -> None:
    """Opaque inks side by side: a flash between each two, none after the last."""
    steps = steps_of(in_order(job_of()))
    assert does(steps) == ["print", "flash", "print", "flash", "print"]
    assert steps.drying_s == 2 * (30 + 15)


def soaking(*names: str) -> Shop:
    inks = tuple(Ink(name=name, kind="transparent colour") for name in names)
    return Shop(inks=inks, press=Press(kind="simple press"))


def test_ink_that_soaks_in_is_flashed_only_where_it_is_printed_on() -> None:
    """Side by side, and over a trap of 0.9 mm: none; over 1.2 mm: before the screen that overlaps."""
    shop = soaking(CREAM, RED, NAVY)
    assert does(steps_of(in_order(job_of(shop=shop)))) == ["print"] * 3
    for over_mm, wanted in ((0.9, ["print", "print"]), (1.2, ["print", "flash", "print"])):
        colours = {CREAM: box(0, 0, 10 + over_mm, 10), NAVY: box(10, 0, 20, 10)}
        steps = steps_of(in_order(job_of(colours, shop=shop)))
        assert does(steps) == wanted
    assert f"{NAVY} is printed on {CREAM}" in steps.steps[1].why


def test_passes_are_flashed_between() -> None:
    """Two passes of one screen."""
    job = job_of({RED: box(0, 0, 10, 10)}, shop=soaking(RED))
    twice = dataclasses.replace(job, screens=(dataclasses.replace(job.screens[0], passes=2),))
    steps = steps_of(twice)
    assert does(steps) == ["print", "flash", "print"]
    assert [s.number for s in steps.steps if s.does == "print"] == [1, 2]


def test_the_order_adds_and_leaves_out_flashes() -> None:
    """A flash more after soaking ink; one less after standing ink is a finding."""
    more = in_order(job_of(shop=soaking(CREAM, RED, NAVY), tables=[asked(flash_after=[CREAM])]))
    assert does(steps_of(more)) == ["print", "flash", "print", "print"]
    less = in_order(job_of(tables=[asked(no_flash_after=[CREAM])]))
    steps = steps_of(less)
    assert does(steps) == ["print", "print", "flash", "print"]
    assert steps.bold == ((RED, CREAM),)
    (found,) = findings_of(less, make_ask({PrintSteps: steps}))
    assert (found.severity, found.kind, found.screen) == ("at risk", "printed on wet ink", RED)


@pytest.mark.parametrize(
    ("press", "rounds"),
    [
        (Press(kind="hinged frame"), 3),
        (Press(kind="plain table"), 3),
        (Press(kind="simple press"), 1),
        (Press(kind="simple press", stations=2), 2),
        (Press(kind="simple press", stations=3), 1),
    ],
)
def test_rounds_follow_from_what_the_press_holds(press: Press, rounds: int) -> None:
    """Three screens: one frame at a time lays each shirt three times, two frames twice."""
    job = in_order(job_of(shop=Shop(press=press)))
    steps = steps_of(job)
    assert steps.rounds == rounds
    assert does(steps).count("take off") == rounds - 1
    found = list(findings_of(job, make_ask({PrintSteps: steps})))
    assert [f.kind for f in found] == (["shirts laid again"] if rounds > 1 else [])
    times = {2: "twice", 3: "3 times"}
    told = f"laid on the board {times.get(rounds)}, and the press set up as often: 3 films, "
    assert all(told in f.what and "print_as" in f.do for f in found)
    # it is told once
    assert not list(findings_of_screens(job))
    # what comes off dries: no flash before it
    assert does(steps).count("flash") == 3 - rounds


def test_a_flash_that_dries_nothing_is_refused() -> None:
    """After the last screen, and where shirts come off anyway; with several prints it is a note."""
    for name, kind, useless in (
        (RED, "simple press", False),
        (NAVY, "simple press", True),
        (RED, "hinged frame", True),
    ):
        shop = Shop(press=Press.model_validate({"kind": kind}))
        job = job_of(shop=shop, tables=[asked(flash_after=[name])])
        if not useless:
            assert checked_order(job).keys == (CREAM, RED, NAVY)
            continue
        said = f"sequence.flash_after: no screen comes down after {name} .*; take it out"
        with pytest.raises(SettingsError, match=said):
            checked_order(job)
        several = job.order.model_copy(update={"print": job.order.print * 2})
        job = in_order(dataclasses.replace(job, order=several))
        found = findings_of(job, make_ask({PrintSteps: steps_of(job)}))
        unused = [f for f in found if f.unused_at]
        assert [f.unused_at for f in unused] == [("sequence", "flash_after", 0)]


def test_screens_through_one_film_need_one_place() -> None:
    """Base and colour through one film on a hinged frame: the shirt stays where it is."""
    job = with_base(job_of({RED: box(0, 0, 10, 10)}, shop=Shop(press=Press(kind="hinged frame"))))
    one_film = tuple(dataclasses.replace(s, film="both") for s in job.screens)
    job = in_order(dataclasses.replace(job, screens=one_film))
    assert steps_of(job).rounds == 1
    assert job.screens[1].placed == (
        "Through the film of base white, unmoved: scrape and wash that ink out first."
    )
    assert does(steps_of(job)) == ["print", "flash", "print"]


def test_screens_side_by_side_on_one_film_come_down_together() -> None:
    """Cream and navy share a film: red, between them by rule, comes after both; one flash, not two."""
    job = job_of()
    shared = tuple(
        dataclasses.replace(s, film="both" if s.key in (CREAM, NAVY) else s.film)
        for s in job.screens
    )
    job = in_order(dataclasses.replace(job, screens=shared))
    assert [screen.key for screen in job.screens] == [CREAM, NAVY, RED]
    assert job.screens[1].placed == f"In one frame with {CREAM}, and printed with it."
    assert does(steps_of(job)) == ["print", "print", "flash", "print"]


def test_a_second_pass_of_one_of_them_is_flashed_for_all() -> None:
    """Cream twice, navy once, on one film: print both, flash, print cream."""
    colours = {CREAM: box(0, 0, 10, 10), NAVY: box(70, 0, 80, 10)}
    job = in_order(job_of(colours))
    shared = tuple(
        dataclasses.replace(s, film="both", passes=2 if s.key == CREAM else 1) for s in job.screens
    )
    steps = steps_of(dataclasses.replace(job, screens=shared)).steps
    assert [(s.does, s.screen, s.number) for s in steps] == [
        ("print", CREAM, 1),
        ("print", NAVY, 1),
        ("flash", CREAM, 0),
        ("print", CREAM, 2),
    ]


def test_the_sheet_tells_each_step() -> None:
    """A row for each step, with inks and reasons; the caution stands with the flash."""
    job = in_order(with_base(job_of()))
    (section,) = sections_of(job, make_ask({PrintSteps: steps_of(job)}))
    table = next(block for block in section.blocks if isinstance(block, Table))
    assert [row[1] for row in table.rows][:3] == [
        "print screen 1",
        "flash 30 s under the dryer, then 15 s to cool",
        "print screen 2",
    ]
    assert table.rows[0][3] == "It lies under the colours."
    assert (
        "flashed 3 times: 30 s under the dryer, then 15 s to cool each time. That takes 2.2 min a shirt"
        in table.caption
    )
    assert any(isinstance(block, Caution) for block in section.blocks)


def test_each_screen_has_its_passes_and_flashes_on_its_own_page() -> None:
    """With the caution where it is flashed, and without where it isn't: nothing follows the last."""
    job = in_order(job_of())
    twice = dataclasses.replace(job.screens[0], passes=2)
    job = dataclasses.replace(job, screens=(twice, *job.screens[1:]))
    first, second, last = screen_sections(job, make_ask({PrintSteps: steps_of(job)}))
    assert [s.screen for s in (first, second, last)] == [screen.key for screen in job.screens]
    caution, steps = first.blocks
    assert isinstance(caution, Caution)
    assert isinstance(steps, CheckList)
    flash = f"Flash {twice.ink} until dry to the touch: 30 s under the dryer, then 15 s to cool."
    assert steps.steps == (
        "Print pass 1 of 2 on the shirt.",
        flash,
        "Print pass 2 of 2 on the shirt.",
        flash,
    )
    assert any(isinstance(block, Caution) for block in second.blocks)
    assert last.blocks == (CheckList(("Print it once on each shirt, in its turn.",)),)


def test_one_screen_printed_once_needs_no_steps() -> None:
    """Nothing to say."""
    job = in_order(job_of({RED: box(0, 0, 10, 10)}))
    assert not list(sections_of(job, make_ask({PrintSteps: steps_of(job)})))
    assert order_of(job).reason == ""


def test_names_for_another_print_are_noted() -> None:
    """Two prints in one order, the name fits one of them: the other says it has no use there."""
    job = job_of(tables=[asked(order=["#abcdef"])])
    two = job.order.model_copy(update={"print": (*job.order.print, *job.order.print)})
    job = dataclasses.replace(job, order=two)
    found = [f.kind for f in findings_of(job, make_ask({PrintSteps: steps_of(job)}))]
    assert "name not used here" in found


def test_a_wrong_name_ends_the_command_with_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The whole command: one line on standard error."""
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
        f'<rect width="20" height="20" fill="{RED}"/></svg>'
    )
    (tmp_path / "order.toml").write_text(
        '[[print]]\nplace = "front"\nartwork = "a.svg"\n[sequence]\nflash_after = ["pink"]\n'
    )
    assert run(["check", str(tmp_path / "order.toml")]) == 2
    said = capsys.readouterr().err
    assert "sequence.flash_after: no screen prints pink" in said


def test_the_hooks_give_what_the_core_expects() -> None:
    """The module's own functions, as the core calls them."""
    job = job_of()
    assert prep_sequence.prep_order(job).keys == (CREAM, RED, NAVY)
    assert set(prep_sequence.prep_answers()) == {PrintSteps}


def test_an_ink_with_a_flash_of_its_own_is_flashed_so_long() -> None:
    """Its line in shop.toml comes before its kind's, that before [sequence]; cooling is added to each."""
    own = OwnKind(name="thick", like="opaque white", flash="45 s")
    for ink, takes_s in (
        (Ink(name="snow", kind="opaque white"), 30 + 15),
        (Ink(name="snow", kind="thick"), 45 + 15),
        (Ink(name="snow", kind="thick", flash="20 s"), 20 + 15),
    ):
        shop = Shop(ink_kinds=(own,), inks=(ink,))
        job = make_job({CREAM: box(0, 0, 9, 9)}, inks={CREAM: "snow"}, passes=2, shop=shop)
        assert [s.takes_s for s in steps_of(job).steps if s.does == "flash"] == [takes_s]


def _films(job: Job) -> dict[str, str]:
    return {screen.key: screen.film for screen in job.screens}


def test_colour_by_colour_each_film_is_a_part() -> None:
    """Base twice with a flash between, then each colour: three flashes before other films are gone."""
    job = in_order(with_base(job_of()))
    job = dataclasses.replace(
        job,
        screens=tuple(
            dataclasses.replace(s, passes=2 if s.key == "base" else 1) for s in job.screens
        ),
    )
    steps = steps_of(job)
    shirt_by_shirt = parts_of(steps, _films(job), by_colour=False)
    assert [part.steps for part in shirt_by_shirt] == [steps.steps]
    parts = parts_of(steps, _films(job), by_colour=True)
    assert [part.films for part in parts] == [("base",), (CREAM,), (RED,), (NAVY,)]
    assert [s.does for s in parts[0].steps] == ["print", "flash", "print"]
    assert all([s.does for s in part.steps] == ["print"] for part in parts[1:])


def test_parts_end_where_shirts_are_taken_off() -> None:
    """Two frames at a time, three films: two and one."""
    job = in_order(job_of(shop=Shop(press=Press(kind="simple press", stations=2))))
    parts = parts_of(steps_of(job), _films(job), by_colour=False)
    assert [part.films for part in parts] == [(CREAM, RED), (NAVY,)]
    assert not any(step.does == "take off" for part in parts for step in part.steps)


COLOURS = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60" width="100mm" height="60mm">'
    '<path fill="#1f3a5f" d="M0 0H100V40H0z"/><path fill="#d9472f" d="M10 45H90V58H10z"/></svg>'
)


def test_the_sheet_tells_the_order_as_it_is_worked(tmp_path: Path) -> None:
    """Colour by colour: shirts come off between, are laid twice, and that they are is at risk."""
    (tmp_path / "front.svg").write_text(COLOURS)
    said = {}
    for working in ("colour by colour", "shirt by shirt"):
        sets = ("press.kind=simple press", f"press.working={working}")
        request = Request(tmp_path / "front.svg", shirts=6, sets=sets)
        with open_line(request) as line:
            report = line.report(line.job(line.setups[0]))
        (section,) = (s for s in report.sections if s.title == "Printing, step by step, and why")
        table = next(block for block in section.blocks if isinstance(block, Table))
        said[working] = (
            [row[1] for row in table.rows],
            table.caption,
            {f.kind: f"{f.what} {f.why} {f.do}" for f in report.findings},
        )
    rows, caption, kinds = said["colour by colour"]
    assert rows == ["print screen 1", "take the shirts off, let them dry", "print screen 2"]
    assert caption.startswith("Each shirt is laid on the board 2 times: all shirts in one colour,")
    assert (
        "2.12 mm each way (one standard deviation), as is usual then" in kinds["shirts laid again"]
    )
    rows, caption, kinds = said["shirt by shirt"]
    assert "take the shirts off, let them dry" not in rows
    assert "laid on the board" not in caption
    assert "shirts laid again" not in kinds


def test_the_table_of_screens_tells_what_is_flashed() -> None:
    """Standing inks: once after each screen, and not after the last; two passes: after each of them."""
    job = in_order(job_of())
    keys = [screen.key for screen in job.screens]
    (section,) = sections_of(job, make_ask({PrintSteps: steps_of(job)}))
    (column,) = section.columns
    assert [dict(column.cells)[key] for key in keys] == ["once", "once", "no"]
    twice = dataclasses.replace(job.screens[0], passes=2)
    job = dataclasses.replace(job, screens=(twice, *job.screens[1:]))
    (section,) = sections_of(job, make_ask({PrintSteps: steps_of(job)}))
    assert dict(section.columns[0].cells)[keys[0]] == "after each pass"
