"""Questions between plugins, answered once and remembered as long as nothing they rest on changed."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from prep.artwork import Artwork
from prep.digest import digest_of
from prep.errors import PluginFailed, PrepError, Unanswered
from prep.job import Ask, Job
from prep.order import Order, SetUp
from prep.plugins import Plugins, failure_of
from prep.screens import DesignRegion, Screen
from prep.separations import Separation
from prep.shop import Shop
from prep.tables import Table

T = TypeVar("T")
Model = TypeVar("Model", bound=Table)
Read = tuple[
    str, Any
]  # what was read: ("screens", None), ("settings", (Model, colour)), ("answer", T)

_KEPT_PER_QUESTION = 8


class WatchedJob:
    """A job as an answerer sees it: the same, but what it reads is written down."""

    def __init__(self, job: Job, reads: dict[Read, str]) -> None:
        """Watch a job.

        :param reads: filled with what was read and its digest
        """
        self._job, self._reads = job, reads

    def _note(self, part: str) -> Any:
        self._reads[part, None] = _digest(self._job, part)
        return getattr(self._job, part)

    @property
    def order(self) -> Order:
        """The whole order."""
        return self._note("order")  # type: ignore[no-any-return]  # as in Job

    @property
    def setup(self) -> SetUp:
        """The part of it this job prints."""
        return self._note("setup")  # type: ignore[no-any-return]  # as in Job

    @property
    def artwork(self) -> Artwork:
        """The artwork as read."""
        return self._note("artwork")  # type: ignore[no-any-return]  # as in Job

    @property
    def separations(self) -> tuple[Separation, ...]:
        """What shows of each colour."""
        return self._note("separations")  # type: ignore[no-any-return]  # as in Job

    @property
    def design(self) -> tuple[DesignRegion, ...]:
        """The design regions."""
        return self._note("design")  # type: ignore[no-any-return]  # as in Job

    @property
    def screens(self) -> tuple[Screen, ...]:
        """The screens in print order."""
        return self._note("screens")  # type: ignore[no-any-return]  # as in Job

    @property
    def films(self) -> tuple[tuple[Screen, ...], ...]:
        """The films cut; see :attr:`Job.films`."""
        self._note("screens")
        return self._job.films

    @property
    def shop(self) -> Shop:
        """The shop."""
        return self._note("shop")  # type: ignore[no-any-return]  # as in Job

    @property
    def notes(self) -> tuple[str, ...]:
        """What was assumed."""
        return self._note("notes")  # type: ignore[no-any-return]  # as in Job

    @property
    def without(self) -> tuple[str, ...]:
        """Plugins left out."""
        return self._note("without")  # type: ignore[no-any-return]  # as in Job

    def screen(self, key: str) -> Screen:
        """Give the screen with this key; see :meth:`Job.screen`."""
        self._note("screens")
        return self._job.screen(key)

    def settings(self, model: type[Model], colour: str | None = None) -> Model:
        """Give a settings table; see :meth:`Job.settings`."""
        table = self._job.settings(model, colour)
        self._reads["settings", (model, colour)] = digest_of(table)
        return table

    @property
    def origins(self) -> Mapping[str, str]:
        """Layers; see :attr:`Job.origins`. Not written down: only refusals rest on them, never kept."""
        return self._job.origins


def _digest(job: Job, part: str) -> str:
    return digest_of(getattr(job, part))


@dataclass(frozen=True, slots=True)
class _Remembered:
    """An answer, or the failure that came instead, and what it was read from."""

    answer: Any
    failure: Unanswered | None
    reads: Mapping[Read, str]
    fault: PluginFailed | None = None


class Session:
    """Holds the answers. One for each run of the command, or for as long as the page is open."""

    def __init__(self, plugins: Plugins) -> None:
        """Learn who answers what.

        :raises PluginFailed: two plugins answer the same question
        """
        self._plugins = plugins
        self._answerers: dict[type[Any], tuple[str, Callable[[Job, Ask], Any]]] = {}
        self._memory: dict[type[Any], list[_Remembered]] = {}
        self.failures: list[PluginFailed] = []
        """Faults met while answering; whoever begins a new report empties it."""
        for name, answers in plugins.each("prep_answers", Mapping):  # type: ignore[type-abstract]
            for question, function in answers.items():
                if question in self._answerers:
                    raise PluginFailed(
                        name,
                        f"answers {question.__name__}, and so does {self._answerers[question][0]}",
                    )
                self._answerers[question] = (name, function)

    @property
    def questions(self) -> Iterator[tuple[type[Any], str]]:
        """Every question that is answered, and by whom."""
        return ((question, name) for question, (name, _) in self._answerers.items())

    def ask_for(self, job: Job) -> Ask:
        """Give the ``ask`` of one job."""

        def ask(question: type[T]) -> T:
            return self._answer(job, question, (), {})

        return ask

    def _answer(
        self, job: Job, question: type[T], ring: tuple[type[Any], ...], reads: dict[Read, str]
    ) -> T:
        if question in ring:
            names = " -> ".join(q.__name__ for q in (*ring[ring.index(question) :], question))
            raise PluginFailed(self._answerers[question][0], f"questions lead in a ring: {names}")
        if question not in self._answerers:
            left_out = f" (left out: {', '.join(job.without)})" if job.without else ""
            raise Unanswered(f"no plugin answers {question.__name__}{left_out}")
        remembered = self._recall(job, question, ring)
        if remembered is None:
            remembered = self._find_out(job, question, ring)
            kept = self._memory.setdefault(question, [])
            kept.insert(0, remembered)
            del kept[_KEPT_PER_QUESTION:]
        reads["answer", question] = _outcome(remembered)
        if remembered.fault is not None and remembered.fault not in self.failures:
            self.failures.append(remembered.fault)
        if remembered.failure is not None:
            raise Unanswered(remembered.failure.why)
        return remembered.answer  # type: ignore[no-any-return]  # checked when it was found out

    def _recall(
        self, job: Job, question: type[Any], ring: tuple[type[Any], ...]
    ) -> _Remembered | None:
        for remembered in self._memory.get(question, ()):
            if all(
                self._now(job, read, (*ring, question)) == digest
                for read, digest in remembered.reads.items()
            ):
                return remembered
        return None

    def _now(self, job: Job, read: Read, ring: tuple[type[Any], ...]) -> str:
        """Give the digest that ``read`` has for this job."""
        what, which = read
        if what == "settings":
            return digest_of(job.settings(*which))
        if what == "answer":
            reads: dict[Read, str] = {}
            with contextlib.suppress(Unanswered):  # a failure has a digest too, noted in reads
                self._answer(job, which, ring, reads)
            return reads.get(read, "")
        return _digest(job, what)

    def _find_out(self, job: Job, question: type[Any], ring: tuple[type[Any], ...]) -> _Remembered:
        name, function = self._answerers[question]
        reads: dict[Read, str] = {}

        def ask(other: type[T]) -> T:
            return self._answer(job, other, (*ring, question), reads)

        try:
            answer = function(WatchedJob(job, reads), ask)  # type: ignore[arg-type]  # reads like a Job
            if not isinstance(answer, question):
                raise PluginFailed(
                    name, f"must answer {question.__name__}, gave {type(answer).__name__}"
                )
        except Unanswered as error:
            return _Remembered(None, error, reads)
        except PrepError as error:
            if not isinstance(error, PluginFailed):
                raise
            return _Remembered(None, Unanswered(str(error)), reads, error)
        except (Exception, SystemExit) as error:
            failed = failure_of(name, f"its answer {question.__name__}", error)
            return _Remembered(None, Unanswered(str(failed)), reads, failed)
        return _Remembered(answer, None, reads)


def _outcome(remembered: _Remembered) -> str:
    if remembered.failure is not None:
        return digest_of(remembered.failure.why)
    return digest_of(remembered.answer)
