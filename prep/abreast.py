"""Several workers side by side, for work that falls into pieces worth a processor each."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from queue import SimpleQueue
from threading import Event
from typing import Any, Protocol, TypeVar

from prep.guard import Guard

T = TypeVar("T")

_AGAIN_S = 0.2


class Submit(Protocol):
    """How a call is handed to the first worker that is free; as :meth:`prep.guard.Guard.run`."""

    def __call__(self, function: Callable[..., T], /, *arguments: Any) -> Future[T]:
        """Hand it over."""
        ...


def processors() -> int:
    """Give how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@contextmanager
def abreast(guards: Sequence[Guard]) -> Iterator[Submit]:
    """Give what hands calls to workers; each guard works at one call at a time.

    Where the block is left by an error, calls that haven't begun are dropped and the workers are ended,
    so that nothing goes on behind anybody's back.
    """
    free: SimpleQueue[Guard] = SimpleQueue()
    for guard in guards:
        free.put(guard)

    begun: list[Future[Any]] = []
    ended = Event()

    def run(function: Callable[..., T], *arguments: Any) -> T:
        guard = free.get()
        try:
            if ended.is_set():
                raise CancelledError
            return guard.run(function, *arguments)
        finally:
            free.put(guard)

    pool = ThreadPoolExecutor(len(guards), thread_name_prefix="abreast")

    def submit(function: Callable[..., T], /, *arguments: Any) -> Future[T]:
        future = pool.submit(run, function, *arguments)
        begun.append(future)
        return future

    try:
        yield submit
    except BaseException:
        ended.set()
        pool.shutdown(wait=False, cancel_futures=True)
        while True:  # a call may just be starting its worker
            for guard in guards:
                guard.close()
            going_on = [future for future in begun if not future.done()]
            if not going_on:
                break
            wait(going_on, timeout=_AGAIN_S)
        raise
    finally:
        pool.shutdown()
