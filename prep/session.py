"""Questions between plugins, and what they say of a job, asked once and remembered as long as
nothing they rest on changed."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, TypeVar

from prep.artwork import Artwork
from prep.digest import Digests, digest_of
from prep.errors import PluginFailed, PrepError, Unanswered
from prep.job import Ask, Chosen, Job
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
_JOBS_SETTLED = 8


class WatchedJob:
    """A job as an answerer sees it: the same, but what it reads is written down."""

    def __init__(self, job: Job, reads: dict[Read, str], digests: Digests) -> None:
        """Watch a job.

        :param reads: filled with what was read and its digest
        :param digests: of what was digested before
        """
        self._job, self._reads, self._digests = job, reads, digests

    def _note(self, part: str) -> Any:
        value = getattr(self._job, part)
        self._reads[part, None] = self._digests.of(value)
        return value

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
    def drawn(self) -> tuple[DesignRegion, ...]:
        """The design regions before asked-for changes."""
        return self._note("drawn")  # type: ignore[no-any-return]  # as in Job

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

    @property
    def garment_colours(self) -> tuple[str, ...]:
        """The garments' colours; see :attr:`Job.garment_colours`."""
        return self._note("garment_colours")  # type: ignore[no-any-return]  # as in Job

    def screen(self, key: str) -> Screen:
        """Give the screen with this key; see :meth:`Job.screen`."""
        self._note("screens")
        return self._job.screen(key)

    def settings(self, model: type[Model], colour: str | None = None) -> Model:
        """Give a settings table; see :meth:`Job.settings`."""
        table = self._job.settings(model, colour)
        self._reads["settings", (model, colour)] = self._digests.of(table)
        return table

    @property
    def chosen(self) -> Chosen:
        """All settings; see :attr:`Job.chosen`. What reads them rests on every one."""
        return self._note("chosen")  # type: ignore[no-any-return]  # as in Job

    def digest(self) -> str:
        """Digest of everything in it; see :meth:`Job.digest`."""
        self._reads["digest", None] = found = self._job.digest()
        return found

    @property
    def origins(self) -> Mapping[str, str]:
        """Layers; see :attr:`Job.origins`. Not written down: only refusals rest on them, never kept."""
        return self._job.origins


@dataclass(frozen=True, slots=True)
class _Remembered:
    """An answer, or the failure that came instead, and what it was read from."""

    answer: Any
    failure: Unanswered | None
    reads: Mapping[Read, str]
    outcome: str
    fault: PluginFailed | None = None


@dataclass(frozen=True, slots=True)
class _Said:
    """What a plugin's hook gave for a job, and what it was made from."""

    values: tuple[Any, ...]
    reads: Mapping[Read, str]


class Session:
    """Holds the answers. One for each run of the command, or for as long as the page is open."""

    def __init__(self, plugins: Plugins) -> None:
        """Learn who answers what.

        :raises PluginFailed: two plugins answer the same question
        """
        self._plugins = plugins
        self._answerers: dict[type[Any], tuple[str, Callable[[Job, Ask], Any]]] = {}
        self._memory: dict[type[Any], list[_Remembered]] = {}
        self._said: dict[tuple[str, str], list[_Said]] = {}
        self._digests = Digests()
        self._settled: dict[int, tuple[Job, dict[type[Any], _Remembered]]] = {}
        self.failures: list[PluginFailed] = []
        """Faults met while answering since :meth:`begin`."""
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

    def begin(self) -> None:
        """Begin a report: faults met from now on count, also those of answers that are remembered."""
        self.failures.clear()
        self._settled.clear()

    def told(self, name: str, hook: str, kind: type[T], job: Job, **given: Any) -> tuple[T, ...]:
        """Ask one plugin what it says of a job, or recall it where all that it was made from is the same.

        :param hook: one that takes ``job``, and may take ``ask``
        :param given: further arguments of the hook, such as ``marks``
        :raises Unanswered: as the hook does; never remembered
        :raises PluginFailed: the plugin failed
        """
        taken = self._plugins.arguments_of(name, hook)
        if taken is None:
            return ()
        handed = {key: self._digests.of(value) for key, value in given.items() if key in taken}
        kept = self._said.setdefault((name, hook), [])
        for said in kept:
            if all(self._now(job, read, (), handed) == was for read, was in said.reads.items()):
                return said.values
        reads: dict[Read, str] = {("given", key): digest for key, digest in handed.items()}

        def ask(question: type[T]) -> T:
            return self._answer(job, question, (), reads)

        given["job"] = WatchedJob(job, reads, self._digests)
        if self._plugins.can_ask(hook):
            given["ask"] = ask
        values = tuple(self._plugins.gather_from(name, hook, kind, **given))
        kept.insert(0, _Said(values, reads))
        del kept[_KEPT_PER_QUESTION:]
        return values

    def gather(self, hook: str, kind: type[T], *, job: Job) -> Iterator[tuple[str, tuple[T, ...]]]:
        """Ask every plugin what it says of a job; as :meth:`told`.

        :return: (plugin's name, values), one plugin after another
        :raises PluginFailed: a plugin failed, also while answering another, or can do nothing without an
            answer that it lacks
        """
        self.failures.clear()
        for name in self._plugins.names:
            try:
                values = self.told(name, hook, kind, job)
            except Unanswered as error:
                if self.failures:
                    raise self.failures[-1] from error
                raise PluginFailed(
                    name, f"gave no {hook.removeprefix('prep_')}: {error.why}"
                ) from error
            yield name, values

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
        settled = self._settled_of(job)
        remembered = settled.get(question) or self._recall(job, question, ring)
        if remembered is None:
            remembered = self._find_out(job, question, ring)
            kept = self._memory.setdefault(question, [])
            kept.insert(0, remembered)
            del kept[_KEPT_PER_QUESTION:]
        settled[question] = remembered
        reads["answer", question] = remembered.outcome
        if remembered.fault is not None and remembered.fault not in self.failures:
            self.failures.append(remembered.fault)
        if remembered.failure is not None:
            raise Unanswered(remembered.failure.why)
        return remembered.answer  # type: ignore[no-any-return]  # checked when it was found out

    def _settled_of(self, job: Job) -> dict[type[Any], _Remembered]:
        """Give the answers known to hold for this very job, which is frozen."""
        known = self._settled.get(id(job))
        if known is None or known[0] is not job:
            known = self._settled[id(job)] = (job, {})
            while len(self._settled) > _JOBS_SETTLED:
                del self._settled[next(iter(self._settled))]
        return known[1]

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

    def _now(
        self,
        job: Job,
        read: Read,
        ring: tuple[type[Any], ...],
        given: Mapping[str, str] = MappingProxyType({}),
    ) -> str:
        """Give the digest that ``read`` has for this job."""
        what, which = read
        if what == "given":
            return given.get(which, "")
        if what == "digest":
            return job.digest()
        if what == "settings":
            return self._digests.of(job.settings(*which))
        if what == "answer":
            reads: dict[Read, str] = {}
            with contextlib.suppress(Unanswered):  # a failure has a digest too, noted in reads
                self._answer(job, which, ring, reads)
            return reads.get(read, "")
        return self._digests.of(getattr(job, what))

    def _find_out(self, job: Job, question: type[Any], ring: tuple[type[Any], ...]) -> _Remembered:
        name, function = self._answerers[question]
        reads: dict[Read, str] = {}

        def ask(other: type[T]) -> T:
            return self._answer(job, other, (*ring, question), reads)

        try:
            answer = function(WatchedJob(job, reads, self._digests), ask)  # type: ignore[arg-type]  # reads like a Job
            if not isinstance(answer, question):
                raise PluginFailed(
                    name, f"must answer {question.__name__}, gave {type(answer).__name__}"
                )
        except Unanswered as error:
            return _Remembered(None, error, reads, digest_of(error.why))
        except PrepError as error:
            if not isinstance(error, PluginFailed):
                raise
            return _faulty(error, reads)
        except (Exception, SystemExit) as error:
            failed = failure_of(name, f"its answer {question.__name__}", error)
            return _faulty(failed, reads)
        return _Remembered(answer, None, reads, digest_of(answer))


def _faulty(fault: PluginFailed, reads: Mapping[Read, str]) -> _Remembered:
    failure = Unanswered(str(fault))
    return _Remembered(None, failure, reads, digest_of(failure.why), fault)
