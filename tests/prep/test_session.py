"""Questions between plugins: answered once, remembered while nothing they rest on changed."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from pydantic import Field
from shapely import box

from prep.errors import PluginFailed, Unanswered
from prep.findings import Finding
from prep.hookspecs import hookimpl
from prep.job import Ask, Chosen, Job
from prep.plugins import Plugin, Plugins
from prep.screens import AddScreen, Mark
from prep.sections import Section
from prep.session import Session
from prep.tables import Table
from prep.testing import make_job


@dataclass(frozen=True)
class Weight:
    """A question."""

    grams: float


@dataclass(frozen=True)
class Price:
    """Another question."""

    euros: float


class Scale(Table):
    """A settings table."""

    factor: float = Field(2.0)


class Paint(Table):
    """Another settings table."""

    shade: str = "deep"


Answers = dict[type[Any], Callable[[Job, Ask], Any]]


def session(**answers_of: Answers) -> Session:
    """Make a session of plugins that answer."""
    plugins = []
    for name, answers in answers_of.items():
        module = types.ModuleType(name)
        module.prep_answers = hookimpl(lambda answers=answers: answers)  # type: ignore[attr-defined]
        plugins.append(Plugin(name, module, f"{name} 1.0"))
    return Session(Plugins(plugins))


@pytest.fixture(scope="module")
def job() -> Job:
    """One colour, a 10 mm square."""
    return make_job({"#1f3a5f": box(0, 0, 10, 10)})


class Counted:
    """An answerer that counts how often it is asked."""

    def __init__(self, answer: Callable[[Job, Ask], Any]) -> None:
        self.answer, self.calls = answer, 0

    def __call__(self, job: Job, ask: Ask) -> Any:
        self.calls += 1
        return self.answer(job, ask)


def test_an_answer_is_given_once(job: Job) -> None:
    """Asked twice, found out once."""
    weigh = Counted(lambda job, ask: Weight(job.screens[0].measures.area_mm2))
    ask = session(a={Weight: weigh}).ask_for(job)
    assert ask(Weight).grams == ask(Weight).grams == pytest.approx(100)
    assert weigh.calls == 1


def test_a_setting_that_was_read_makes_it_new(job: Job) -> None:
    """A changed setting brings a new answer only where it was read."""
    weigh = Counted(lambda job, ask: Weight(job.settings(Scale).factor))
    asked = session(a={Weight: weigh})
    assert asked.ask_for(job)(Weight).grams == 2
    other = dataclasses.replace(job, chosen=Chosen({Paint: Paint(shade="pale")}))
    assert asked.ask_for(other)(Weight).grams == 2
    assert weigh.calls == 1
    scaled = dataclasses.replace(job, chosen=Chosen({Scale: Scale(factor=3)}))
    assert asked.ask_for(scaled)(Weight).grams == 3
    assert asked.ask_for(job)(Weight).grams == 2
    assert weigh.calls == 2


def test_a_change_travels_through_answers(job: Job) -> None:
    """What rests on an answer is new when the answer is, and only then."""
    weigh = Counted(lambda job, ask: Weight(job.settings(Scale).factor))
    price = Counted(lambda job, ask: Price(10 * ask(Weight).grams))
    asked = session(a={Weight: weigh}, b={Price: price})
    assert asked.ask_for(job)(Price).euros == 20
    scaled = dataclasses.replace(job, chosen=Chosen({Scale: Scale(factor=3)}))
    assert asked.ask_for(scaled)(Price).euros == 30
    assert asked.ask_for(job)(Price).euros == 20
    assert (weigh.calls, price.calls) == (2, 2)


def test_a_region_that_was_read_makes_it_new(job: Job) -> None:
    """Another region is another answer."""
    weigh = Counted(lambda job, ask: Weight(job.screens[0].measures.area_mm2))
    asked = session(a={Weight: weigh})
    asked.ask_for(job)(Weight)
    larger = make_job({"#1f3a5f": box(0, 0, 20, 10)})
    assert asked.ask_for(larger)(Weight).grams == pytest.approx(200)
    assert weigh.calls == 2


def test_nobody_answers(job: Job) -> None:
    """The reason names the question, and plugins left out."""
    with pytest.raises(Unanswered, match="no plugin answers Weight"):
        session().ask_for(job)(Weight)
    without = dataclasses.replace(job, without=("ink",))
    with pytest.raises(Unanswered, match="left out: ink"):
        session().ask_for(without)(Weight)


def test_not_applicable_is_remembered(job: Job) -> None:
    """An answerer may say that a question doesn't apply; it isn't asked again, and isn't blamed."""

    def refuse(job: Job, ask: Ask) -> Weight:
        raise Unanswered("one colour needs no order")

    weigh = Counted(refuse)
    asked = session(a={Weight: weigh})
    for _ in range(2):
        with pytest.raises(Unanswered, match="one colour needs no order"):
            asked.ask_for(job)(Weight)
    assert (weigh.calls, asked.failures) == (1, [])


@pytest.mark.parametrize("answer", [lambda job, ask: 1 / 0, lambda job, ask: Price(1)])
def test_a_failure_is_blamed_on_the_answerer(job: Job, answer: Callable[..., Any]) -> None:
    """The asker hears Unanswered; the fault is kept under the name of the plugin that failed."""
    asked = session(a={Weight: answer}, b={Price: lambda job, ask: Price(ask(Weight).grams)})
    for _ in range(2):
        with pytest.raises(Unanswered, match="plugin a:"):
            asked.ask_for(job)(Price)
    assert [failure.plugin for failure in asked.failures] == ["a"]


def test_two_answerers_are_an_error() -> None:
    """Nobody can say which of two answers holds."""
    weigh: Answers = {Weight: lambda job, ask: Weight(1)}
    with pytest.raises(PluginFailed, match="plugin b: answers Weight, and so does a"):
        session(a=weigh, b=weigh)


def test_a_ring_is_named(job: Job) -> None:
    """A question that leads back to itself fails with the ring spelt out."""
    asked = session(
        a={Weight: lambda job, ask: Weight(ask(Price).euros)},
        b={Price: lambda job, ask: Price(ask(Weight).grams)},
    )
    with pytest.raises(Unanswered, match="Weight -> Price -> Weight"):
        asked.ask_for(job)(Weight)
    assert asked.failures


def test_what_a_plugin_says_is_remembered_until_something_it_read_changes(job: Job) -> None:
    """Findings are asked for again only where the job, an answer or what they were handed differs."""
    calls: list[str] = []

    def prep_findings(job: Any, marks: tuple[Any, ...], ask: Ask) -> list[Finding]:
        calls.append("heavy" if ask(Weight).grams > 2 else "light")
        return [Finding("note", calls[-1], f"{len(marks)} marks.", "", "")]

    def prep_answers() -> Answers:
        return {Weight: lambda job, ask: Weight(job.settings(Scale).factor)}

    module = types.ModuleType("a")
    module.prep_findings = hookimpl(prep_findings)  # type: ignore[attr-defined]
    module.prep_answers = hookimpl(prep_answers)  # type: ignore[attr-defined]
    asked = Session(Plugins([Plugin("a", module, "a 1.0")]))

    def said(job: Job, marks: tuple[str, ...] = ()) -> tuple[str, str]:
        (finding,) = asked.told("a", "prep_findings", Finding, job, marks=marks)
        assert finding.by == "a"
        return finding.kind, finding.what

    assert said(job) == said(dataclasses.replace(job)) == ("light", "0 marks.")
    assert said(dataclasses.replace(job, chosen=Chosen({Paint: Paint(shade="pale")})))[0] == "light"
    assert calls == ["light"]
    assert said(dataclasses.replace(job, chosen=Chosen({Scale: Scale(factor=3)})))[0] == "heavy"
    assert said(job, ("cross",)) == ("light", "1 marks.")
    assert said(job) == ("light", "0 marks.")
    assert calls == ["light", "heavy", "light"]
    assert asked.told("a", "prep_marks", Mark, job) == ()


def test_what_rests_on_all_settings_is_asked_again_when_any_changes(job: Job) -> None:
    """A hook that looks at every setting can't be recalled over a change of one."""
    seen: list[object] = []

    def prep_sections(job: Any) -> None:
        seen.append(job.chosen.get(Paint).shade)

    module = types.ModuleType("a")
    module.prep_sections = hookimpl(prep_sections)  # type: ignore[attr-defined]
    asked = Session(Plugins([Plugin("a", module, "a 1.0")]))
    for shade in ("deep", "pale", "pale", "deep"):
        one = dataclasses.replace(job, chosen=Chosen({Paint: Paint(shade=shade)}))
        assert asked.told("a", "prep_sections", Section, one, marks=(), findings=()) == ()
    assert seen == ["deep", "pale"]


def test_a_missing_answer_is_told_each_time(job: Job) -> None:
    """A hook that lets Unanswered through isn't remembered, and its answerer's fault counts again."""

    def prep_findings(job: Any, ask: Ask) -> list[Finding]:
        return [Finding("note", "weight", f"{ask(Weight).grams}", "", "")]

    def broken(job: Job, ask: Ask) -> Weight:
        raise ZeroDivisionError

    module = types.ModuleType("b")
    module.prep_findings = hookimpl(prep_findings)  # type: ignore[attr-defined]
    module.prep_answers = hookimpl(lambda: {Weight: broken})  # type: ignore[attr-defined]
    asked = Session(Plugins([Plugin("b", module, "b 1.0")]))
    for _ in range(2):
        asked.begin()
        with pytest.raises(Unanswered, match="ZeroDivisionError"):
            asked.told("b", "prep_findings", Finding, job, marks=())
        assert [failure.plugin for failure in asked.failures] == ["b"]


def test_screens_without_an_answer_they_need_are_the_fault_of_whoever_failed(job: Job) -> None:
    """A job can't be made then: the answerer's fault is told, or that of whoever asked in vain."""

    def prep_screens(job: Any, ask: Ask) -> list[AddScreen]:
        ask(Weight)
        return []

    def asked(answer: Callable[[Job, Ask], Weight]) -> Session:
        asking, answering = types.ModuleType("b"), types.ModuleType("w")
        asking.prep_screens = hookimpl(prep_screens)  # type: ignore[attr-defined]
        answering.prep_answers = hookimpl(lambda: {Weight: answer})  # type: ignore[attr-defined]
        return Session(Plugins([Plugin("b", asking, "b 1.0"), Plugin("w", answering, "w 1.0")]))

    def broken(job: Job, ask: Ask) -> Weight:
        raise ZeroDivisionError

    def unknown(job: Job, ask: Ask) -> Weight:
        raise Unanswered("no scales")

    with pytest.raises(PluginFailed, match="ZeroDivisionError") as failed:
        list(asked(broken).gather("prep_screens", AddScreen, job=job))
    assert failed.value.plugin == "w"
    vain = asked(unknown)
    vain.failures.append(PluginFailed("z", "failed before"))
    with pytest.raises(PluginFailed, match="gave no screens: no scales") as failed:
        list(vain.gather("prep_screens", AddScreen, job=job))
    assert failed.value.plugin == "b"


def test_what_rests_on_the_garments_colours_alone_isnt_asked_again_for_more_of_them(
    job: Job,
) -> None:
    weigh = Counted(lambda job, ask: Weight(len(job.garment_colours)))
    asked = session(a={Weight: weigh})
    (batch,) = job.setup.batches
    more = dataclasses.replace(batch, sizes=(("M", batch.count + 1),))
    dyed = dataclasses.replace(batch, colour="#123456")
    for batches, colours, calls in (((batch,), 1, 1), ((more,), 1, 1), ((more, dyed, batch), 2, 2)):
        setup = dataclasses.replace(job.setup, batches=batches)
        other = dataclasses.replace(job, setup=setup)
        assert asked.ask_for(other)(Weight).grams == colours
        assert weigh.calls == calls
