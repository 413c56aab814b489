"""Settings shared by all tests."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator
from typing import ParamSpec, TypeVar

import pytest
from hypothesis import settings

import prep.line
from prep.guard import Guard
from prep.measures import measure
from prep.reading import compare_with_drawing, read_and_separate
from prep.separations import separate

settings.register_profile(
    "repeatable", derandomize=True, deadline=None, print_blob=False, max_examples=25
)
settings.load_profile("repeatable")

PURE = (compare_with_drawing, measure, read_and_separate, separate)
"""What lines ask their workers for that nothing but its arguments decides."""
KEPT = 256

P = ParamSpec("P")
T = TypeVar("T")


@pytest.fixture(scope="session", autouse=True)
def _own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep all tests, and the processes they start, away from what the user has recorded."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture(scope="session", autouse=True)
def _warm_worker() -> Iterator[None]:
    """Let all lines opened in this process work with one worker for each pair of limits.

    A worker's start takes far longer than what most tests ask of it, and many ask for the same: what a
    worker under these limits gave is given again, a copy each time. What is started as a process of its
    own, and whatever makes its guard itself, isn't touched.
    """
    warm: dict[tuple[float, int], Guard] = {}
    given: dict[bytes, bytes] = {}

    class Lent:
        """A guard whose worker stays when it is closed."""

        def __init__(self, seconds: float, memory_mb: int) -> None:
            self._limits = seconds, memory_mb
            if self._limits not in warm:
                warm[self._limits] = Guard(seconds, memory_mb)

        def run(self, function: Callable[P, T], /, *arguments: P.args, **keywords: P.kwargs) -> T:
            if function not in PURE:
                return warm[self._limits].run(function, *arguments, **keywords)
            asked = pickle.dumps((self._limits, function, arguments, keywords))
            if asked not in given:
                made = warm[self._limits].run(function, *arguments, **keywords)
                given[asked] = pickle.dumps(made)
                if len(given) > KEPT:
                    del given[next(iter(given))]
            found: T = pickle.loads(given[asked])
            return found

        def close(self) -> None:
            pass

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(prep.line, "Guard", Lent)
        yield
    for guard in warm.values():
        guard.close()
