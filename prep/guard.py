"""The one worker for work that may hang: a process of its own, under the parent's clock.

Reading and measuring call into compiled libraries that no signal can interrupt, on files that anyone
may have made. So they run in a separate process, in its own process group, with a memory limit; the
parent waits with a clock and ends the whole group when time is up. The worker stays warm from one
call to the next and is replaced only after it failed.

The worker doesn't outlive its parent: a thread of it reads the calls, and the end of that pipe ends the
group. Where compiled code lets no thread run, a limit on processor time ends it. Its temporary files lie
in a folder that the parent removes, or the worker when the parent is gone.

Only module-level functions, plain values, geometry and frozen dataclasses cross.
"""

from __future__ import annotations

import contextlib
import faulthandler
import math
import os
import pickle
import queue
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from types import TracebackType
from typing import IO, Any, ParamSpec, TypeVar

from prep.errors import InputError, OurFault, PrepError, WorkStopped

P = ParamSpec("P")
T = TypeVar("T")
K = TypeVar("K")

LEAST_MEMORY_MB = 512
_HEADER = struct.Struct("<Q")
_TAIL_BYTES = 8192
_NO_MEMORY = (b"bad_alloc", b"MemoryError", b"memory allocation of", b"annot allocate memory")
"""What C++, Python, Rust and the C library say last when there is no more memory."""
_NEAR_LIMIT = 0.8
_FRUGAL = {
    **dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"),
    "MALLOC_ARENA_MAX": "1",  # a second one would take address space, which is limited
}


class Guard:
    """Runs functions in the worker.

    :param seconds: wall clock for each call
    :param memory_mb: address space of the worker; at least 512, where the system can limit it
        (Windows can't: there only the clock holds)
    """

    def __init__(self, seconds: float = 120.0, memory_mb: int = 2048) -> None:
        """Set the limits; the worker starts with the first call.

        :raises InputError: a limit too small to work under
        """
        if not seconds > 0:
            raise InputError(
                f"a time limit of {seconds:g} s leaves no time to work",
                do="give more than zero seconds",
            )
        if memory_mb < LEAST_MEMORY_MB:
            raise InputError(
                f"a memory limit of {memory_mb} MB is too small",
                do=f"give at least {LEAST_MEMORY_MB} MB",
            )
        self.seconds, self.memory_mb = seconds, memory_mb
        self._worker: _Worker | None = None
        self._changing = threading.Lock()  # another thread may close it

    def __enter__(self) -> Guard:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def run(self, function: Callable[P, T], /, *arguments: P.args, **keywords: P.kwargs) -> T:
        """Call a module-level function in the worker and give what it returns.

        :raises WorkStopped: it took longer or more memory than allowed
        :raises PrepError: whatever error of ours the function raised
        :raises OurFault: it raised anything else, or the worker died
        """
        return self._call(_Call(function, arguments, keywords), _deaf)  # type: ignore[no-any-return]  # what it returned

    def converse(
        self,
        function: Callable[[K, Callable[[Any], None]], T],
        *,
        keeps: Callable[[], K],
        hears: Callable[[Any], None],
    ) -> T:
        """Call ``function(kept, say)`` in the worker and give what it returns.

        :param function: a module-level function, or a ``functools.partial`` of one
        :param keeps: makes what the worker keeps from one call to the next; a module-level function
            or class, called once for each worker
        :param hears: called here with each value handed to ``say`` there, while the call runs
        :raises PrepError: as :meth:`run`
        """
        return self._call(_Call(function, (), {}, keeps), hears)  # type: ignore[no-any-return]  # what it returned

    def _call(self, call: _Call, hears: Callable[[Any], None]) -> Any:
        deadline = time.monotonic() + self.seconds
        sent = _packed(call)
        worker = self._started()
        try:
            worker.send(sent)
            while True:
                reply = worker.replies.get(timeout=max(0.0, deadline - time.monotonic()))
                if reply is None:
                    break
                outcome, value = _unpacked(reply)
                if outcome != "said":
                    break
                hears(value)
        except queue.Empty:
            self.close()
            raise WorkStopped(
                f"stopped after {self.seconds:g} s without a result",
                do="simplify the drawing, or allow more time (--set 'work.time=300 s')",
            ) from None
        except BaseException:  # Ctrl-C above all: never leave a worker behind
            self.close()
            raise
        if reply is None:
            death = worker.death()
            self.close()
            raise self._told(death)
        if outcome == "done":
            return value
        if outcome == "memory":
            self.close()
            raise self._out_of_memory()
        if outcome == "refused":
            raise value
        raise _fault(*value)

    def close(self) -> None:
        """End the worker and everything it started, and remove its temporary files."""
        with self._changing:
            worker, self._worker = self._worker, None
        if worker is not None:
            worker.end()

    def _started(self) -> _Worker:
        if self._worker is not None and not self._worker.lives:
            self.close()
        with self._changing:
            if self._worker is None:
                self._worker = _Worker(self.seconds, self.memory_mb)
            return self._worker

    def _out_of_memory(self) -> WorkStopped:
        return WorkStopped(
            f"needs more memory than the {self.memory_mb} MB allowed",
            do="simplify the drawing, or allow more memory (--set 'work.memory=4096 MB')",
        )

    def _told(self, death: _Death) -> PrepError:
        lack = any(words in death.said for words in _NO_MEMORY)
        if lack or death.peak_mb >= _NEAR_LIMIT * self.memory_mb:
            return self._out_of_memory()
        status = death.status
        how = f"signal {-status}" if status < 0 else f"status {status}"
        said = death.said.decode(errors="replace").strip()
        return _fault(f"the worker ended by itself ({how}); please report it", said)


@dataclass(frozen=True, slots=True)
class _Call:
    """What is to be done; with ``keeps`` the function is handed what the worker keeps, and its voice."""

    function: Callable[..., Any]
    arguments: tuple[Any, ...]
    keywords: dict[str, Any]
    keeps: Callable[[], Any] | None = None


def _deaf(said: object) -> None:
    """Hear nothing: what is called by :meth:`Guard.run` has no voice."""


@dataclass(frozen=True, slots=True)
class _Death:
    """How a worker ended: exit status or minus the signal, its peak of memory, what it said last."""

    status: int
    peak_mb: float
    said: bytes


class _Worker:
    """The process, with a thread each for what goes in, what comes out, and what it complains of."""

    def __init__(self, seconds: float, memory_mb: int) -> None:
        self.replies: queue.Queue[bytes | None] = queue.Queue()
        self._folder = tempfile.mkdtemp(prefix="firstpull-")
        self._said = bytearray()
        self._threads: list[threading.Thread] = []
        try:
            self._process = subprocess.Popen(
                [
                    sys.executable,
                    "-P",  # a stray numpy.py beside the drawing must not be run
                    "-c",
                    f"from prep.guard import serve; serve({seconds!r}, {memory_mb!r}, {self._folder!r})",
                ],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                env={
                    **os.environ,
                    **_FRUGAL,
                    **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), self._folder),
                    "PYTHONPATH": os.pathsep.join(filter(None, sys.path)),
                },
                start_new_session=os.name == "posix",
            )
        except BaseException:
            shutil.rmtree(self._folder, ignore_errors=True)
            raise
        assert self._process.stdout is not None
        assert self._process.stderr is not None
        self._start(_listen, self._process.stdout, self.replies)
        self._start(_keep_tail, self._process.stderr, self._said)

    @property
    def lives(self) -> bool:
        """Whether the process runs."""
        return self._process.poll() is None

    def send(self, message: bytes) -> None:
        """Begin to write a message; a worker that doesn't take it holds up a thread only."""
        assert self._process.stdin is not None
        self._start(_write_quietly, self._process.stdin, message)

    def death(self) -> _Death:
        """Wait for the process, which closed its end, and say how it ended."""
        peak_mb = 0.0
        process = self._process
        if os.name == "posix" and process.returncode is None:
            with contextlib.suppress(ChildProcessError):
                _, status, used = os.wait4(process.pid, 0)
                process.returncode = os.waitstatus_to_exitcode(status)
                peak_mb = used.ru_maxrss / (2**20 if sys.platform == "darwin" else 2**10)
        status = process.wait()
        self._kill_group()  # what it started may hold its standard error open
        for thread in self._threads:
            thread.join(1.0)
        return _Death(status, peak_mb, bytes(self._said))

    def end(self) -> None:
        """End the process and all that it started."""
        process = self._process
        try:
            self._kill_group()
            process.wait()
            for thread in self._threads:
                thread.join(1.0)
            for pipe in (process.stdin, process.stdout, process.stderr):
                if pipe is not None:
                    with contextlib.suppress(OSError):
                        pipe.close()
        finally:
            shutil.rmtree(self._folder, ignore_errors=True)

    def _kill_group(self) -> None:
        if os.name == "posix":
            with contextlib.suppress(ProcessLookupError, PermissionError):
                os.killpg(self._process.pid, signal.SIGKILL)
        else:
            self._process.kill()

    def _start(self, function: Callable[P, None], *arguments: P.args, **_: P.kwargs) -> None:
        self._threads = [thread for thread in self._threads if thread.is_alive()]
        thread = threading.Thread(target=function, args=arguments, daemon=True)
        thread.start()
        self._threads.append(thread)  # only now: one whose start was interrupted can't be joined


def _packed(message: object) -> bytes:
    try:
        return pickle.dumps(message, protocol=pickle.HIGHEST_PROTOCOL)
    except Exception as error:
        raise _fault(f"a call can't be handed over: {_in_words(error)}", "") from error


def _unpacked(reply: bytes) -> tuple[str, Any]:
    try:
        outcome, value = pickle.loads(reply)
    except Exception as error:
        raise _fault(f"an answer can't be read: {_in_words(error)}", "") from error
    return outcome, value


def _fault(what: str, note: str) -> OurFault:
    fault = OurFault(what)
    if note:
        fault.add_note(note)
    return fault


def _in_words(error: BaseException) -> str:
    return traceback.format_exception_only(error)[-1].strip()


def _listen(pipe: IO[bytes], replies: queue.Queue[bytes | None]) -> None:
    with contextlib.suppress(OSError, ValueError):  # closed under our hands by close()
        while (reply := _read(pipe)) is not None:
            replies.put(reply)
    replies.put(None)


def _keep_tail(pipe: IO[bytes], said: bytearray) -> None:
    with contextlib.suppress(OSError, ValueError):  # closed under our hands by close()
        while piece := os.read(pipe.fileno(), _TAIL_BYTES):
            said += piece
            del said[:-_TAIL_BYTES]


def _write_quietly(pipe: IO[bytes], message: bytes) -> None:
    with contextlib.suppress(OSError, ValueError):  # it died: the end of its replies tells
        _write(pipe, message)


def _write(pipe: IO[bytes], message: bytes) -> None:
    pipe.write(_HEADER.pack(len(message)))
    pipe.write(message)
    pipe.flush()


def _read(pipe: IO[bytes]) -> bytes | None:
    header = pipe.read(_HEADER.size)
    if len(header) < _HEADER.size:
        return None
    (length,) = _HEADER.unpack(header)
    message = pipe.read(length)
    return message if len(message) == length else None


def serve(seconds: float, memory_mb: int, folder: str) -> None:
    """Be the worker: read calls from standard input until it ends.

    :param seconds: for each call; held by the parent, and by processor time when there is none
    :param folder: made by the parent for temporary files; removed when the parent is gone
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides
    faulthandler.enable()
    calls: queue.Queue[bytes | None] = queue.Queue()
    pipe = os.fdopen(os.dup(0), "rb")
    replies = os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # a stray print must not break the protocol
    _limit_memory(memory_mb)
    threading.Thread(target=_take_calls, args=(pipe, calls, folder), daemon=True).start()
    kept: dict[Callable[[], Any], Any] = {}

    def say(value: object) -> None:
        _write(replies, _dumped("said", value))

    while True:
        call = calls.get()
        _limit_processor(seconds)
        _write(replies, _NO_ROOM if call is None else _reply(call, kept, say))


def _take_calls(pipe: IO[bytes], calls: queue.Queue[bytes | None], folder: str) -> None:
    """Read calls; None stands for one too large. End all when the parent is gone."""
    try:
        while (call := _read(pipe)) is not None:
            calls.put(call)
    except MemoryError:
        calls.put(None)
        return
    # by name: where it is gone already, tempfile would name the folder that everyone shares
    shutil.rmtree(folder, ignore_errors=True)
    if os.name == "posix":
        os.killpg(os.getpgrp(), signal.SIGKILL)
    os._exit(1)


def _limit_memory(memory_mb: int) -> None:
    try:
        import resource
    except ImportError:  # Windows has none; the clock still holds
        return
    limit = memory_mb * 1024 * 1024
    with contextlib.suppress(ValueError, OSError):  # a lower hard limit is already in force
        resource.setrlimit(resource.RLIMIT_AS, (limit, limit))


def _limit_processor(seconds: float) -> None:
    """Allow the next call more processor time than the parent's clock ever lets it take."""
    try:
        import resource
    except ImportError:  # Windows has none
        return
    spent = time.process_time() + seconds * (os.cpu_count() or 1)
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    with contextlib.suppress(ValueError, OSError, OverflowError):  # a lower limit is in force
        resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(spent) + 2, hard))


def _reply(call: bytes, kept: dict[Callable[[], Any], Any], say: Callable[[object], None]) -> bytes:
    """Do what is asked and give the packed outcome; whatever goes wrong is an outcome too.

    :param kept: what calls before this one left to be kept, by what made it
    """
    try:
        try:
            asked: _Call = pickle.loads(call)
            if asked.keeps is None:
                return _dumped("done", asked.function(*asked.arguments, **asked.keywords))
            if asked.keeps not in kept:
                kept[asked.keeps] = asked.keeps()
            return _dumped("done", asked.function(kept[asked.keeps], say))
        except MemoryError:
            return _NO_ROOM
        except PrepError as error:
            return _dumped("refused", error)
    except BaseException as error:
        if "bad_alloc" in str(error):  # GEOS passes it on as text
            return _NO_ROOM
        try:
            return _dumped("fault", (_in_words(error), traceback.format_exc()))
        except MemoryError:
            return _NO_ROOM


def _dumped(outcome: str, value: object) -> bytes:
    return pickle.dumps((outcome, value), protocol=pickle.HIGHEST_PROTOCOL)


_NO_ROOM = _dumped("memory", None)
