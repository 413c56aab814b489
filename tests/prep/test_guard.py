"""The worker ends what hangs, keeps errors of ours, and stays warm."""

from __future__ import annotations

import os
import pickle
import sys
import time
from pathlib import Path

import pytest

from prep.errors import ArtworkRefused, InputError, OurFault, Reason, SettingsError, WorkStopped
from prep.guard import Guard

# Functions the worker runs must be found by name in an importable module, so the tests use the
# standard library's and Firstpull's own.


def test_gives_what_the_function_returns() -> None:
    """Values come back as they are."""
    with Guard() as guard:
        assert guard.run(divmod, 17, 5) == (3, 2)


def test_stays_warm() -> None:
    """The same process serves one call after another."""
    with Guard() as guard:
        first, second = guard.run(os.getpid), guard.run(os.getpid)
    assert first == second != os.getpid()


def test_ends_what_takes_too_long_and_works_on() -> None:
    """A call over its time ends with a line that says what to do; the next call gets a new worker."""
    with Guard(seconds=1.0) as guard:
        before = guard.run(os.getpid)
        with pytest.raises(WorkStopped, match="stopped after 1 s.*allow more time"):
            guard.run(time.sleep, 30)
        assert guard.run(os.getpid) != before


def test_ends_what_takes_too_much_memory() -> None:
    """A call over its memory ends with a line that names the limit."""
    with Guard(memory_mb=512) as guard:
        with pytest.raises(WorkStopped, match="512 MB"):
            guard.run(bytes, 2 * 1024**3)
        assert guard.run(len, b"works on") == 8


def test_a_worker_that_dies_is_replaced() -> None:
    """Death in compiled code is told in one line, and the next call works."""
    with Guard() as guard:
        with pytest.raises(OurFault, match="ended by itself"):
            guard.run(os._exit, 7)
        assert guard.run(abs, -2) == 2


def test_anything_else_is_our_fault_with_its_trace() -> None:
    """An unforeseen error arrives with its type in the message and its trace as a note."""
    with Guard() as guard, pytest.raises(OurFault, match="ZeroDivisionError") as caught:
        guard.run(divmod, 1, 0)
    assert "Traceback" in caught.value.__notes__[0]


def test_leaves_no_process_behind(tmp_path: Path) -> None:
    """Closing ends the worker and what it started."""
    with Guard(seconds=1.0) as guard:
        with pytest.raises(WorkStopped):
            guard.run(os.system, f"sleep 30 & echo $! > {tmp_path}/pid; wait")
        child = int((tmp_path / "pid").read_text())
    for _ in range(100):
        stat = Path(f"/proc/{child}/stat")
        if not stat.exists() or stat.read_text().split()[2] == "Z":
            break
        time.sleep(0.02)
    else:
        pytest.fail("the grandchild lives on")


@pytest.mark.parametrize(("seconds", "memory_mb"), [(0, 1024), (-1, 1024), (10, 511)])
def test_limits_too_small_are_refused(seconds: float, memory_mb: int) -> None:
    """No limits that nothing could work under."""
    with pytest.raises(InputError):
        Guard(seconds=seconds, memory_mb=memory_mb)


@pytest.mark.parametrize(
    "error",
    [
        InputError("what", where="where", do="do"),
        SettingsError("what", where="shop.toml", do="do"),
        ArtworkRefused(
            (Reason("text", "is text", "outline it"), Reason("image", "a", "b")), where="x.svg"
        ),
    ],
)
def test_errors_survive_the_way_back(error: InputError) -> None:
    """A refusal says the same on both sides of the process border."""
    back = pickle.loads(pickle.dumps(error))
    assert (type(back), back.lines()) == (type(error), error.lines())


def test_runs_no_module_that_lies_beside_the_drawing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A customer's folder may hold a file called queue.py; it must not be run."""
    (tmp_path / "queue.py").write_text("import os; os._exit(7)")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.path", [p for p in sys.path if p])
    with Guard() as guard:
        assert guard.run(abs, -3) == 3
