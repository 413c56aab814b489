"""The orders on the page: what lies open, what is being done to it, and what waits.

One worker does one thing at a time, also what is looked at beside an order and is about it. What is asked
of an order while it waits is joined to what was asked of it before, so that typing on doesn't queue up work
that nobody wants any more.
"""

from __future__ import annotations

import asyncio
import contextlib
import errno
import json
import logging
import secrets
import shutil
import time
from collections.abc import AsyncIterator, Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, Literal, TypeVar

from prep.errors import InputError, OurFault, PrepError, WorkStopped
from prep.guard import Guard
from prep_page import calls
from prep_page.edits import Change, read_loosely
from prep_page.in_page_words import in_page_words
from prep_page.places import FILES, ORDER, RESULT, listed
from prep_page.unknown import unknown_in
from prep_page.usual_units import lengths

_LOG = logging.getLogger(__name__)

Doing = Literal["", "waiting", "working"]
Json = dict[str, Any]
T = TypeVar("T")

MOST_ORDERS = 20
"""Open at a time; our choice."""
_STAYS_ALIVE_S = 10.0
_FIRST_S = 1.0
"""So long the page itself goes before the worker, which takes a processor to load what it needs."""
_ENDS_KEPT = 8
"""So many ends of work are told again with each state: whoever follows may miss a state, never an end."""

Ended = Literal["", "refused", "cancelled", "failed"]


@dataclass(frozen=True, slots=True)
class End:
    """How one piece of work ended.

    :param number: counts all ends of an order
    :param changes: that this end is about
    :param lines: what to say of it
    :param unknown: settings of order.toml that could be left out, and then it could go on
    """

    number: int
    ended: Ended
    changes: tuple[Change, ...] = ()
    lines: tuple[str, ...] = ()
    unknown: tuple[tuple[str | int, ...], ...] = ()


@dataclass(eq=False)
class OpenOrder:
    """An order that lies open.

    :param opened: when, in seconds since 1970
    :param about: each set-up in a few words: where, how wide, how many shirts; none before it is known
    :param facts: widths, garments' colours, shirts: by which it is told from others of its name
    :param version: grows with every change of what is shown
    :param made: grows with every newer ``result.json``
    :param shown: number of the set-up that is looked at; it is reckoned first
    :param trouble: one line for each thing that stopped the last work, or a change that was asked for
        while it waited or was under way, and what kind of end it was
    :param ends: the latest ends, the oldest first
    :param changes: wait for the worker
    :param at_work: the worker is making these
    :param learnt_since: figures measured here are others than when it was reckoned
    :param units: that the shop measures in, as far as that is known
    """

    key: str
    folder: Path
    name: str
    opened: float = field(default_factory=time.time)
    about: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()
    version: int = 0
    made: int = 0
    doing: Doing = ""
    step: str = ""
    done: int = 0
    of: int = 0
    ended: Ended = ""
    trouble: tuple[str, ...] = ()
    ends: list[End] = field(default_factory=list)
    shown: int = 0
    changes: list[Change] = field(default_factory=list)
    at_work: tuple[Change, ...] = ()
    wanted: set[Literal["reckon", "files"]] = field(default_factory=set)
    learnt_since: bool = False
    units: str = "metric"
    changed: asyncio.Condition = field(default_factory=asyncio.Condition)

    def state(self) -> Json:
        """Give what is shown of it at any moment."""
        return {
            "key": self.key,
            "name": self.name,
            "opened": self.opened,
            "about": list(self.about),
            "facts": list(self.facts),
            "version": self.version,
            "made": self.made,
            "doing": self.doing,
            "step": self.step,
            "done": self.done,
            "of": self.of,
            "ended": self.ended,
            "trouble": list(self.trouble),
            "learnt_since": self.learnt_since,
            "pending": [
                {"path": list(c.path), "text": c.text, "value": read_loosely(c)}
                for c in (*self.at_work, *self.changes)
            ],
            "ends": [
                {
                    "number": end.number,
                    "ended": end.ended,
                    "changes": [{"path": list(c.path), "text": c.text} for c in end.changes],
                    "lines": list(end.lines),
                    "unknown": [list(path) for path in end.unknown],
                }
                for end in self.ends
            ],
            "files": [{"name": name, "size": size} for name, size in listed(self.folder)],
        }

    def end(
        self, ended: Ended, changes: Sequence[Change], error: PrepError | Sequence[str] = ()
    ) -> End:
        """Note how a piece of work ended, and what stopped it."""
        number = self.ends[-1].number + 1 if self.ends else 1
        unknown = unknown_in(error) if isinstance(error, PrepError) else ()
        said = error.lines() if isinstance(error, PrepError) else error
        lines = tuple(lengths(in_page_words(line), self.units) for line in said)
        end = End(number, ended, tuple(changes), lines, unknown)
        self.ends = [*self.ends, end][-_ENDS_KEPT:]
        return end


class Desk:
    """Holds the orders and the one worker. To be used from one event loop.

    :param folder: where orders are kept while the page runs
    :param shop: shop.toml for all of them; ``None`` = a usual shop
    """

    def __init__(self, folder: Path, shop: Path | None, *, seconds: float, memory_mb: int) -> None:
        """Lay nothing open yet."""
        self._folder, self._shop = folder, shop
        self._guard = Guard(seconds=seconds, memory_mb=memory_mb)
        self._orders: dict[str, OpenOrder] = {}
        self._waiting: asyncio.Queue[OpenOrder] = asyncio.Queue()
        self._at_work: OpenOrder | None = None
        self._cancelled = False
        self._ending = False
        self._loop: asyncio.AbstractEventLoop | None = None
        self._asked = asyncio.Event()
        self._speaking = asyncio.Lock()
        self._views: list[Json] = []
        self._views_trouble: tuple[str, ...] = ()
        self._views_known = asyncio.Event()

    async def views(self) -> Json:
        """Give what plugins show beside the orders, as soon as that is known.

        :return: ``views`` as :func:`prep_page.viewing.listed` gives them, and ``trouble``, lines that say
            why they can't be told
        """
        self._asked.set()
        await self._views_known.wait()
        return {"views": self._views, "trouble": list(self._views_trouble)}

    async def beside(self, order: OpenOrder, call: Callable[..., T]) -> T:
        """Have the worker do something about an order that is worked out, after what is done to it.

        :param call: of :mod:`prep_page.calls`, lacking ``folder`` and ``shop``
        :raises InputError: the order was closed
        :raises PrepError: as the call does
        """

        def rests() -> bool:
            return self._ending or not order.doing or self._orders.get(order.key) is not order

        while True:
            async with order.changed:
                await order.changed.wait_for(rests)
            async with self._speaking:
                if self._ending or self._orders.get(order.key) is not order:
                    raise InputError("this order doesn't lie open any more", do="open it again")
                if not rests():
                    continue
                work = partial(call, folder=order.folder, shop=self._shop)
                return await asyncio.to_thread(
                    self._guard.converse, work, keeps=calls.bench, hears=_unheard
                )

    async def learnt(self) -> None:
        """Note with all orders that figures measured here are others now."""
        for order in self._orders.values():
            order.learnt_since = True
            await self.tell(order)

    def orders(self) -> list[Json]:
        """Give the orders that lie open, the newest first."""
        self._asked.set()
        return [order.state() for order in reversed(self._orders.values())]

    def order(self, key: str) -> OpenOrder | None:
        """Give an order by its key."""
        return self._orders.get(key)

    def open(self, files: Sequence[tuple[str, bytes]]) -> OpenOrder:
        """Lay an order open: an artwork alone, or an order.toml with the artworks it names.

        :param files: (name, content) as dropped
        :raises InputError: nothing to work on, or files that don't belong together
        """
        from prep_page.dropped import lay_out

        if len(self._orders) >= MOST_ORDERS:
            raise InputError(
                f"{MOST_ORDERS} orders lie open", do="close one of them before you open another"
            )
        key = secrets.token_urlsafe(9)
        folder = self._folder / key
        folder.mkdir()
        try:
            name = lay_out(folder, files)
        except BaseException:
            shutil.rmtree(folder, ignore_errors=True)
            raise
        order = self._orders[key] = OpenOrder(key, folder, name)
        self._want(order, "reckon")
        return order

    def change(self, order: OpenOrder, changes: Sequence[Change]) -> None:
        """Make changes to an order and reckon it again."""
        order.changes += changes
        self._want(order, "reckon")

    def make_files(self, order: OpenOrder) -> None:
        """Make the files of an order."""
        self._want(order, "files")

    def cancel(self, order: OpenOrder) -> None:
        """End what is being done to an order; what was shown before stays."""
        changes, order.changes = order.changes, []
        order.wanted.clear()
        if order.doing:
            order.end("cancelled", changes)
        if order is self._at_work:
            self._cancelled = True
            self._guard.close()
        elif order.doing:
            order.doing, order.ended, order.trouble = "", "cancelled", ()

    def close(self, order: OpenOrder) -> None:
        """Put an order away for good."""
        self.cancel(order)
        self._orders.pop(order.key, None)
        if order is not self._at_work:
            shutil.rmtree(order.folder, ignore_errors=True)
            self._waiting.put_nowait(order)  # for the worker to forget it

    def _want(self, order: OpenOrder, what: Literal["reckon", "files"]) -> None:
        self._asked.set()
        order.wanted.add(what)
        if not order.doing:
            order.doing, order.step, order.done, order.of = "waiting", "", 0, 0
            order.ended, order.trouble = "", ()
            self._waiting.put_nowait(order)

    async def tell(self, order: OpenOrder) -> None:
        """Wake all who follow an order."""
        async with order.changed:
            order.version += 1
            order.changed.notify_all()

    async def follow(self, order: OpenOrder) -> AsyncIterator[str]:
        """Give the state now and whenever it changes, as server-sent events."""
        seen = -1
        while self._orders.get(order.key) is order:
            if self._ending:
                return  # the page sees the connection end, and says so
            if order.version != seen:
                seen = order.version
                yield f"data: {json.dumps(order.state())}\n\n"
                continue
            if not await self._changes_from(order, seen):
                yield ": still here\n\n"
        yield "event: closed\ndata: {}\n\n"

    async def _changes_from(self, order: OpenOrder, seen: int) -> bool:
        """Wait until a state is no longer the newest; say whether it came to that in good time."""
        async with order.changed:
            newer = order.changed.wait_for(lambda: self._ending or order.version != seen)
            try:
                await asyncio.wait_for(newer, _STAYS_ALIVE_S)
            except TimeoutError:
                return False
        return True

    def end_soon(self) -> None:
        """Let go of all who follow an order, as the program ends; for a signal's handler too."""
        self._ending = True
        if self._loop is not None:
            for order in self._orders.values():
                asyncio.run_coroutine_threadsafe(self.tell(order), self._loop)

    async def work(self) -> None:
        """Do what is wanted, one thing after another, for as long as the page runs."""
        self._loop = asyncio.get_running_loop()
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(self._asked.wait(), _FIRST_S)
        await self._look_for_views()
        ready = partial(calls.warm, folder=self._folder, shop=self._shop)
        # what is wrong with the shop, or keeps the worker from starting, is told with the first order
        with contextlib.suppress(Exception):
            await asyncio.to_thread(self._guard.converse, ready, keeps=calls.bench, hears=_unheard)
        while True:
            order = await self._waiting.get()
            ends: list[End] = []
            while self._is_wanted(order):
                async with self._speaking:
                    if not self._is_wanted(order):
                        break  # cancelled while something else was asked of the worker
                    what: Literal["reckon", "files"] = (
                        "reckon" if "reckon" in order.wanted else "files"
                    )
                    order.wanted.discard(what)
                    ends += await self._do(order, what)
                order.ended, order.trouble = together(ends)
            order.doing, order.step = "", ""
            if self._orders.get(order.key) is not order:
                await self._forget(order)
            await self.tell(order)

    async def _look_for_views(self) -> None:
        try:
            self._views = await asyncio.to_thread(
                self._guard.converse, partial(calls.views), keeps=calls.bench, hears=_unheard
            )
        except PrepError as error:
            self._views_trouble = error.lines()
        except Exception as error:
            self._views_trouble = _fault(error, "looked at").lines()
        finally:
            self._views_known.set()

    def _is_wanted(self, order: OpenOrder) -> bool:
        return bool(order.wanted) and self._orders.get(order.key) is order

    async def _forget(self, order: OpenOrder) -> None:
        """Let nothing be left of an order that was closed."""
        shutil.rmtree(order.folder, ignore_errors=True)
        forget = partial(calls.forget, folder=order.folder)
        # a worker that can't be spoken to is ended, and what it remembered with it
        async with self._speaking:
            with contextlib.suppress(Exception):
                await asyncio.to_thread(
                    self._guard.converse, forget, keeps=calls.bench, hears=_unheard
                )

    async def _do(self, order: OpenOrder, what: Literal["reckon", "files"]) -> list[End]:
        changes, order.changes = (order.changes, []) if what == "reckon" else ([], order.changes)
        order.doing, order.at_work = "working", tuple(changes)
        self._at_work, self._cancelled = order, False
        await self.tell(order)
        loop = asyncio.get_running_loop()

        def hears(said: tuple[Any, ...]) -> None:
            if self._cancelled:  # before the worker had begun, so that closing it ended nothing
                raise WorkStopped("was cancelled")
            asyncio.run_coroutine_threadsafe(self._hear(order, said), loop)

        if what == "reckon":
            # the files were of the order as it was
            shutil.rmtree(order.folder / FILES, ignore_errors=True)
            work = partial(
                calls.reckon,
                folder=order.folder,
                shop=self._shop,
                changes=tuple(changes),
                shown=order.shown,
            )
        else:
            work = partial(calls.make_files, folder=order.folder, shop=self._shop)
        before: _Before | None = None
        was_learnt, order.learnt_since = order.learnt_since, order.learnt_since and what != "reckon"
        try:
            before = _Before(order)
            left_out = await asyncio.to_thread(
                self._guard.converse, work, keeps=calls.bench, hears=hears
            )
        except Exception as error:
            order.learnt_since |= was_learnt
            return [self._ended(order, changes, before, error)]
        finally:
            self._at_work, order.at_work = None, ()
        if self._cancelled:
            order.learnt_since |= was_learnt
            return [self._ended(order, changes, before, None)]
        out = dict(left_out)
        taken = [change for number, change in enumerate(changes) if number not in out]
        return [
            order.end("", taken),
            *(order.end("refused", (changes[number],), lines) for number, lines in out.items()),
        ]

    def _ended(
        self,
        order: OpenOrder,
        changes: Sequence[Change],
        before: _Before | None,
        error: Exception | None,
    ) -> End:
        """Put an order back as it was, and note how work that came to nothing ended.

        :param error: what stopped it; ``None`` = it was cancelled too late to be stopped
        """
        try:
            # a worker that is ended can't put back what it has changed itself
            if before is not None:
                before.put_back(order)
        except Exception as trouble:
            _LOG.exception("An order can't be put back as it was.", exc_info=trouble)
            return order.end("failed", changes, _fault(trouble, "put back as it was"))
        if self._cancelled:
            return order.end("cancelled", changes)
        if isinstance(error, PrepError):
            ended: Ended = "refused" if isinstance(error, InputError) else "failed"
            return order.end(ended, changes, error)
        assert error is not None  # neither cancelled nor stopped, it would have come to something
        _LOG.exception("The work ended by itself.", exc_info=error)
        return order.end("failed", changes, _fault(error, "worked on"))

    async def _hear(self, order: OpenOrder, said: tuple[Any, ...]) -> None:
        if said[0] == "step":
            _, order.step, order.done, order.of = said
        else:
            order.made += 1
            with contextlib.suppress(OSError, ValueError):
                result = json.loads((order.folder / RESULT).read_bytes())
                order.name, order.about = result["name"], about(result)
                order.facts = facts(result)
                order.units = next((one["units"] for one in result["setups"]), order.units)
        await self.tell(order)

    def put_away(self) -> None:
        """End the worker; the folder is whoever made it to remove."""
        self._guard.close()


class _Before:
    """What an order was before it was worked on: its order.toml, and what was last reckoned of it."""

    def __init__(self, order: OpenOrder) -> None:
        self._name, self._about, self._facts = order.name, order.about, order.facts
        self._files = {
            path: path.read_bytes()
            for path in (order.folder / ORDER, order.folder / RESULT)
            if path.is_file()
        }

    def put_back(self, order: OpenOrder) -> None:
        """Put it back; what is known of an order that was never reckoned whole stays."""
        for path, data in self._files.items():
            if path.is_file() and path.read_bytes() != data:
                new = path.with_name(f"{path.name}.before")
                new.write_bytes(data)
                new.replace(path)
                if path.name == RESULT:
                    order.made += 1
                    order.name, order.about, order.facts = self._name, self._about, self._facts


def about(result: Json) -> tuple[str, ...]:
    """Say each set-up of a result in a few words: where, on what shade, how many shirts, how wide."""
    return tuple(
        f"{one['name']}: {_shirts(one['shirts'])}, {_wide(one)}" for one in result["setups"]
    )


def facts(result: Json) -> tuple[str, ...]:
    """Give what orders of one name may differ in: widths, places and garments' colours, shirts."""
    setups = result["setups"]
    garments = {(one["name"], one["colour"]): None for setup in setups for one in setup["garments"]}
    # a shirt may be printed in several places
    most: dict[str, int] = {}
    for setup in setups:
        most[setup["place"]] = most.get(setup["place"], 0) + setup["shirts"]
    return (
        ", ".join(dict.fromkeys(f"{one['place']} {_wide(one)}" for one in setups)),
        ", ".join(f"{name} {colour}" for name, colour in garments),
        _shirts(max(most.values(), default=0)),
    )


def _wide(one: Json) -> str:
    mm = one["size_mm"][0]
    return f"{mm / 25.4:.2f} in wide" if one["units"] == "inch" else f"{mm:.1f} mm wide"


def _shirts(count: int) -> str:
    return f"{count} shirt{'' if count == 1 else 's'}"


def together(ends: Sequence[End]) -> tuple[Ended, tuple[str, ...]]:
    """Say how pieces of work done in one go ended: a refusal stands until its settings are taken."""
    standing: list[End] = []
    for end in ends:
        again = {change.path for change in end.changes}
        standing = [
            one
            for one in standing
            if one.ended == "refused" and not again >= {change.path for change in one.changes}
        ]
        if end.ended:
            standing.append(end)
    lines = tuple(line for end in standing for line in end.lines)
    return (standing[-1].ended if standing else ""), lines


def _fault(error: Exception, done: str) -> OurFault:
    """Say in one line what kept an order from something, and what to do."""
    if not isinstance(error, OSError):
        return OurFault(f"it can't be {done}: {type(error).__name__}: {error}; please report it")
    full = error.errno in (errno.ENOSPC, errno.EDQUOT)
    do = "make room on the disk" if full else "see to that"
    return OurFault(f"it can't be {done}: {error.strerror or error}; {do}, then work it out again")


def _unheard(said: object) -> None:
    """Hear nothing while nobody waits."""


def order_file(order: OpenOrder) -> Path:
    """Give where an order's order.toml lies."""
    return order.folder / ORDER
