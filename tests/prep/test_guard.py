"""The worker ends what hangs, keeps errors of ours, and stays warm."""

from __future__ import annotations

import importlib
import os
import pickle
import resource
import signal
import subprocess
import sys
import tempfile
import threading
import time
from functools import partial
from pathlib import Path
from typing import Any

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


SHELVES = """
class Shelf:
    def __init__(self):
        self.books = []


def put(shelf, say, book):
    say(len(shelf.books))
    shelf.books.append(book)
    say(("now", len(shelf.books)))
    return shelf.books
"""


def test_a_worker_keeps_what_it_is_given_and_speaks_while_it_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Values said arrive in their order, before the answer; a new worker begins with an empty shelf."""
    (tmp_path / "shelves.py").write_text(SHELVES)
    monkeypatch.syspath_prepend(tmp_path)
    shelves = importlib.import_module("shelves")
    heard: list[Any] = []
    with Guard() as guard:

        def put(book: str) -> list[str]:
            call = partial(shelves.put, book=book)
            return guard.converse(call, keeps=shelves.Shelf, hears=heard.append)

        assert [put("one"), put("two")] == [["one"], ["one", "two"]]
        assert heard == [0, ("now", 1), 1, ("now", 2)]
        assert guard.run(len, "abc") == 3
        guard.close()
        assert put("three") == ["three"]


def test_closing_from_elsewhere_ends_a_call() -> None:
    """A call that is stopped from another thread raises, and the next begins anew."""
    with Guard() as guard:
        timer = threading.Timer(0.3, guard.close)
        timer.start()
        with pytest.raises(OurFault, match="signal 9"):
            guard.run(time.sleep, 30)
        assert guard.run(len, "abc") == 3


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


def test_an_abort_without_evidence_is_our_fault_not_memory() -> None:
    """Compiled code that aborts for any reason: its last words come along as a note."""
    with Guard() as guard:
        with pytest.raises(OurFault, match=r"ended by itself \(signal 6\)") as caught:
            guard.run(os.abort)
        assert "Aborted" in caught.value.__notes__[0]
        with pytest.raises(OurFault, match="signal 9"):
            guard.run(os.system, "kill -9 $PPID")


@pytest.mark.parametrize(
    "words", ["what():  std::bad_alloc", "memory allocation of 4096 bytes failed", "MemoryError"]
)
def test_an_abort_that_speaks_of_memory_is_told_as_memory(words: str) -> None:
    """C++, Rust and Python say it in these words."""
    with Guard() as guard, pytest.raises(WorkStopped, match="2048 MB"):
        guard.run(os.system, f"echo '{words}' >&2; kill -ABRT $PPID")


def test_a_death_near_the_limit_is_told_as_memory() -> None:
    """Without a word, but with 440 of 512 MB in use."""
    with Guard(memory_mb=512) as guard, pytest.raises(WorkStopped, match="512 MB"):
        guard.run(exec, "import os; full = b'x' * (440 << 20); os.kill(os.getpid(), 9)")


def test_an_answer_that_cant_be_packed_is_our_fault_with_its_trace() -> None:
    """The worker stays."""
    with Guard() as guard:
        before = guard.run(os.getpid)
        with pytest.raises(OurFault, match="pickle") as caught:
            guard.run(eval, "lambda: 0")
        assert "Traceback" in caught.value.__notes__[0]
        assert guard.run(os.getpid) == before


@pytest.mark.parametrize("code", ["raise SystemExit(3)", "raise KeyboardInterrupt"])
def test_no_exception_ends_the_worker(code: str) -> None:
    """Not those either that usually end a process."""
    with Guard() as guard:
        before = guard.run(os.getpid)
        with pytest.raises(OurFault, match="SystemExit: 3|KeyboardInterrupt") as caught:
            guard.run(exec, code)
        assert "Traceback" in caught.value.__notes__[0]
        assert guard.run(os.getpid) == before


def test_what_cant_cross_is_our_fault() -> None:
    """A call that can't be packed, an answer that can't be unpacked."""
    unreadable = "type('X', (), {'__reduce__': lambda _: (int, ('x',))})()"
    with Guard() as guard:
        with pytest.raises(OurFault, match="can't be handed over"):
            guard.run(lambda: 0)
        with pytest.raises(OurFault, match="can't be read: ValueError"):
            guard.run(eval, unreadable)
        assert guard.run(abs, -2) == 2


def test_the_clock_holds_while_the_call_is_handed_over() -> None:
    """A worker that stands still takes no more than what fits into the pipe."""
    with Guard(seconds=1.0) as guard:
        os.kill(guard.run(os.getpid), signal.SIGSTOP)
        with pytest.raises(WorkStopped, match="stopped after 1 s"):
            guard.run(len, bytes(10_000_000))
        assert guard.run(len, bytes(10_000_000)) == 10_000_000


def test_temporary_files_go_with_the_worker() -> None:
    """Also when it was ended in the middle of its work."""
    with Guard(seconds=1.0) as guard:
        folder = Path(guard.run(tempfile.mkdtemp))
        assert folder.is_dir()
        with pytest.raises(WorkStopped):
            guard.run(time.sleep, 30)
        assert not folder.parent.exists()
    assert folder.parent != Path(tempfile.gettempdir())


def test_a_worker_left_alone_removes_its_own_folder_only(tmp_path: Path) -> None:
    """Also where that folder is gone already, and tempfile would fall back on one that all share."""
    shared, gone = tmp_path / "shared", tmp_path / "gone"
    shared.mkdir()
    (shared / "hers.txt").write_text("hers")
    with subprocess.Popen(
        [sys.executable, "-c", f"from prep.guard import serve; serve(5.0, 2048, {str(gone)!r})"],
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        env={**os.environ, "TMPDIR": str(gone), "TEMP": str(shared), "TMP": str(shared)},
        start_new_session=True,
    ) as worker:
        assert worker.stdin is not None
        worker.stdin.close()
        assert worker.wait(30) == -signal.SIGKILL
    assert (shared / "hers.txt").read_text() == "hers"


def _gone(pid: int) -> bool:
    for _ in range(500):
        stat = Path(f"/proc/{pid}/stat")
        try:
            if stat.read_text().rpartition(")")[2].split()[0] == "Z":
                return True
        except (FileNotFoundError, ProcessLookupError):
            return True
        time.sleep(0.02)
    return False


COMMAND = """
import os, tempfile, time
from prep import cli
from prep.guard import Guard

def work(arguments):
    with Guard() as guard:
        print(guard.run(os.getpid), guard.run(tempfile.mkdtemp), flush=True)
        guard.run(os.system, "sleep 60")

cli._run = work
cli.main()
"""


@pytest.mark.parametrize(
    ("ending", "status", "said"),
    [
        (signal.SIGKILL, -9, ""),
        (signal.SIGTERM, 143, "prep: ended by SIGTERM\n"),
        (signal.SIGHUP, 129, "prep: ended by SIGHUP\n"),
    ],
)
def test_the_worker_ends_with_the_command(ending: signal.Signals, status: int, said: str) -> None:
    """However the command ends, its worker and what that wrote aside are gone, though it was busy."""
    with subprocess.Popen(
        [sys.executable, "-c", COMMAND], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as command:
        assert command.stdout is not None
        pid, folder = command.stdout.readline().split()
        command.send_signal(ending)
        _, heard = command.communicate(timeout=30)
    assert _gone(int(pid))
    assert not Path(folder).parent.exists()
    assert (command.returncode, heard) == (status, said)


def test_processor_time_ends_what_no_thread_can() -> None:
    """More than the clock lets a call take on all processors, and little more; anew for each call."""
    with Guard(seconds=5.0) as guard:
        for _ in range(2):
            soft, _ = guard.run(resource.getrlimit, resource.RLIMIT_CPU)
            assert 5 * (os.cpu_count() or 1) < soft <= 5 * (os.cpu_count() or 1) + 5
            guard.run(sum, range(2_000_000))


def test_a_hangup_that_was_to_be_ignored_is_ignored() -> None:
    """As under nohup."""
    code = (
        "import signal; signal.signal(signal.SIGHUP, signal.SIG_IGN)\n"
        "from prep import cli\n"
        "cli._run = lambda _: signal.raise_signal(signal.SIGHUP) or 0\n"
        "cli.main()"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


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
