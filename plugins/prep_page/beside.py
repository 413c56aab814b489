"""What lies beside the orders: pages of plugins and their forms, and files that came of these.

They have a worker of their own, so that they answer while an order is worked out; it starts with the first
page that is asked for. Only pages about an order that lies open are made by the worker of the orders.
"""

from __future__ import annotations

import asyncio
import hashlib
import json
import logging
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from prep.errors import InputError, OurFault, PrepError, WorkStopped
from prep.guard import Guard
from prep_page import calls
from prep_page.desk import Desk, OpenOrder
from prep_page.filled import Typed
from prep_page.in_page_words import all_in_page_words
from prep_page.places import FILES

_LOG = logging.getLogger(__name__)

Json = dict[str, Any]
Address = tuple[str, ...]
SECONDS = 120.0
"""For one page or form. Our choice."""
_SENT_KEPT = 200
"""So many forms are known when they come a second time."""
_FILES_KEPT = 50
"""So many forms' files are kept for saving."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Which page: view's name, address in it, and the order it is about, if it is about one."""

    view: str
    address: Address
    order: OpenOrder | None = None


@dataclass(frozen=True, slots=True)
class Sent:
    """A form as it was sent.

    :param form: its name on the page
    :param key: made for this one form as it was shown; sent again under it, a form isn't taken again
    :param typed: part's key -> what was typed
    """

    asked: Asked
    form: str
    key: str
    typed: Mapping[str, Typed]

    def digest(self) -> str:
        """Give what is the same for what was typed alike."""
        order = None if self.asked.order is None else self.asked.order.key
        whole = [self.asked.view, self.asked.address, order, self.form, dict(self.typed)]
        return hashlib.sha256(json.dumps(whole).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of something asked for.

    :param status: 200, 422 = it can't be done as it was asked for, 500 = it failed
    :param told: with ``lines`` where it wasn't done
    """

    status: int
    told: Json


class Beside:
    """Shows pages and takes forms. To be used from one event loop.

    :param folder: where pictures and files are kept while the page runs
    :param shop: shop.toml for all of them; ``None`` = a usual shop
    """

    def __init__(
        self,
        desk: Desk,
        folder: Path,
        shop: Path | None,
        *,
        memory_mb: int,
        seconds: float = SECONDS,
    ) -> None:
        """Show nothing yet; the worker starts with the first page."""
        self._desk, self.folder, self._shop = desk, folder, shop
        self._guard = Guard(seconds=seconds, memory_mb=memory_mb)
        self._speaking = asyncio.Lock()
        self._sent: dict[str, tuple[str, asyncio.Task[Outcome]]] = {}

    async def page(self, asked: Asked) -> Outcome:
        """Give a page."""
        return await self._came_of(asked, "shown", calls.show, calls.show_of_order)

    async def take(self, sent: Sent) -> Outcome:
        """Have a form taken, once: sent again, it isn't taken again, and what came of it is told.

        :return: with ``again`` where it had been sent before, and then ``same``, whether what was typed was
            the same
        """
        known = self._sent.get(sent.key)
        if known is None:
            # whoever sent it may be gone before it is done
            task = asyncio.create_task(self._take(sent))
            self._sent[sent.key] = sent.digest(), task
            for old in [key for key, (_, one) in self._sent.items() if one.done()][:-_SENT_KEPT]:
                del self._sent[old]
            return await asyncio.shield(task)
        digest, task = known
        outcome = await asyncio.shield(task)
        return Outcome(
            outcome.status, {**outcome.told, "again": True, "same": digest == sent.digest()}
        )

    async def _take(self, sent: Sent) -> Outcome:
        details = {"form": sent.form, "typed": sent.typed, "key": sent.key}
        outcome = await self._came_of(
            sent.asked, "taken", calls.take, calls.take_of_order, **details
        )
        if outcome.status != 200:
            return outcome
        if outcome.told["learnt"]:
            await self._desk.learnt()
        opens: Sequence[tuple[str, bytes]] | None = outcome.told["opens"]
        opened: str | None = None
        trouble = list(outcome.told["trouble"])
        if opens is not None:
            try:
                order = self._desk.open(opens)
                opened = order.key
                await self._desk.tell(order)
            except PrepError as error:
                trouble += error.lines()
            except OSError as error:
                trouble.append(f"the order can't be laid open: {error.strerror or error}")
        await asyncio.to_thread(self._thin_out)
        told = {
            "said": all_in_page_words(outcome.told["said"]),
            "trouble": all_in_page_words(trouble),
        }
        return Outcome(200, {**outcome.told, **told, "opens": opened})

    async def _came_of(
        self, asked: Asked, done: str, call: Any, call_of_order: Any, **details: Any
    ) -> Outcome:
        """Have something done by the worker it belongs to.

        :param done: what is done to the page, for what is said where it fails
        :param call: of :mod:`prep_page.calls`, for a page about no order; the other for one about an order
        """
        details = {**details, "beside": self.folder, "name": asked.view, "address": asked.address}
        try:
            self.folder.mkdir(exist_ok=True)
            if asked.order is not None:
                told = await self._desk.beside(asked.order, partial(call_of_order, **details))
            else:
                async with self._speaking:
                    work = partial(call, shop=self._shop, **details)
                    told = await asyncio.to_thread(
                        self._guard.converse, work, keeps=calls.shelf, hears=_unheard
                    )
        except WorkStopped as error:
            return Outcome(
                500, {"lines": [f"it {error.what}{_IF_TAKEN if done == 'taken' else ''}"]}
            )
        except InputError as error:
            return Outcome(422, {"lines": all_in_page_words(error.lines())})
        except PrepError as error:
            lines = all_in_page_words(error.lines())
            return Outcome(500, {"lines": lines + ([_NOT_KNOWN] if done == "taken" else [])})
        except Exception as error:
            _LOG.exception("What lies beside the orders can't be %s.", done, exc_info=error)
            fault = OurFault(
                f"it can't be {done}: {type(error).__name__}: {error}; please report it"
            )
            return Outcome(500, {"lines": list(fault.lines())})
        return Outcome(200, told)

    def _thin_out(self) -> None:
        """Let go of the files made longest ago."""
        folder = self.folder / FILES
        made = (
            sorted(folder.iterdir(), key=lambda one: one.stat().st_mtime) if folder.is_dir() else []
        )
        for old in made[:-_FILES_KEPT]:
            shutil.rmtree(old, ignore_errors=True)

    def put_away(self) -> None:
        """End the worker; the folder is whoever made it to remove."""
        self._guard.close()


_NOT_KNOWN = "whether it was entered isn't known: look for it before you send it again"
_IF_TAKEN = f"; {_NOT_KNOWN}"


def _unheard(said: object) -> None:
    """Hear nothing of how far it is."""
