"""The one worker for work that may hang: a process of its own, under the parent's clock.

Reading and measuring call into compiled libraries that no signal can interrupt, on files that anyone
may have made. So they run in a separate process, in its own process group, with a memory limit; the
parent waits with a clock and ends the whole group when time is up. The worker stays warm from one
call to the next and is replaced only after it failed.

Only module-level functions, plain values, geometry and frozen dataclasses cross.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import queue
import signal
import struct
import subprocess
import sys
import threading
import traceback
from collections.abc import Callable
from types import TracebackType
from typing import IO, Any, ParamSpec, TypeVar

from prep.errors import InputError, OurFault, PrepError, WorkStopped

P = ParamSpec("P")
T = TypeVar("T")

LEAST_MEMORY_MB = 512
_HEADER = struct.Struct("<Q")
_ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")


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
        self._process: subprocess.Popen[bytes] | None = None
        self._replies: queue.Queue[bytes | None] = queue.Queue()

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
        sent = pickle.dumps((function, arguments, keywords), protocol=pickle.HIGHEST_PROTOCOL)
        process = self._started()
        try:
            assert process.stdin is not None
            _write(process.stdin, sent)
            reply = self._replies.get(timeout=self.seconds)
        except queue.Empty:
            self.close()
            raise WorkStopped(
                f"stopped after {self.seconds:g} s without a result",
                do="simplify the drawing, or allow more time",
            ) from None
        except BrokenPipeError:
            reply = None
        except BaseException:  # Ctrl-C above all: never leave a worker behind
            self.close()
            raise
        if reply is None:
            status = process.wait()
            self.close()
            raise self._death(status)
        outcome, value = pickle.loads(reply)
        if outcome == "done":
            return value  # type: ignore[no-any-return]  # what the function returned
        if outcome == "memory":
            self.close()
            raise self._out_of_memory()
        if outcome == "refused":
            raise value
        fault = OurFault(value[0])
        fault.add_note(value[1])
        raise fault

    def close(self) -> None:
        """End the worker and everything it started."""
        process, self._process = self._process, None
        if process is None:
            return
        if os.name == "posix":
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                with contextlib.suppress(OSError):
                    pipe.close()

    def _started(self) -> subprocess.Popen[bytes]:
        if self._process is None or self._process.poll() is not None:
            self.close()
            self._replies = queue.Queue()
            self._process = subprocess.Popen(
                [
                    sys.executable,
                    "-P",  # a stray numpy.py beside the drawing must not be run
                    "-c",
                    f"from prep.guard import serve; serve({self.memory_mb})",
                ],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={
                    **os.environ,
                    **_ONE_THREAD,
                    "PYTHONPATH": os.pathsep.join(filter(None, sys.path)),
                },
                start_new_session=os.name == "posix",
            )
            assert self._process.stdout is not None
            threading.Thread(
                target=_listen, args=(self._process.stdout, self._replies), daemon=True
            ).start()
        return self._process

    def _out_of_memory(self) -> WorkStopped:
        return WorkStopped(
            f"needs more memory than the {self.memory_mb} MB allowed",
            do="simplify the drawing, or allow more memory",
        )

    def _death(self, status: int) -> PrepError:
        if status in (-signal.SIGKILL, -signal.SIGABRT):  # bad_alloc in compiled code aborts
            return self._out_of_memory()
        how = f"signal {-status}" if status < 0 else f"status {status}"
        return OurFault(f"the worker ended by itself ({how}); keep the drawing and report it")


def _listen(pipe: IO[bytes], replies: queue.Queue[bytes | None]) -> None:
    with contextlib.suppress(OSError, ValueError):  # closed under our hands by close()
        while (reply := _read(pipe)) is not None:
            replies.put(reply)
    replies.put(None)


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


def serve(memory_mb: int) -> None:
    """Be the worker: read calls from standard input until it ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides
    calls = os.fdopen(os.dup(0), "rb")
    replies = os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # a stray print must not break the protocol
    _limit_memory(memory_mb)
    while (call := _read(calls)) is not None:
        reply = _call(call)
        try:
            message = pickle.dumps(reply, protocol=pickle.HIGHEST_PROTOCOL)
        except MemoryError:
            message = pickle.dumps(("memory", None))
        _write(replies, message)


def _limit_memory(memory_mb: int) -> None:
    try:
        import resource
    except ImportError:  # Windows has none; the clock still holds
        return
    limit = memory_mb * 1024 * 1024
    with contextlib.suppress(ValueError, OSError):  # a lower hard limit is already in force
        resource.setrlimit(resource.RLIMIT_AS, (limit, limit))


def _call(call: bytes) -> tuple[str, Any]:
    try:
        function, arguments, keywords = pickle.loads(call)
        return "done", function(*arguments, **keywords)
    except MemoryError:
        return "memory", None
    except PrepError as error:
        return "refused", error
    except Exception as error:
        if "bad_alloc" in str(error):  # GEOS passes it on as text
            return "memory", None
        where = traceback.format_exc()
        return "fault", (f"{type(error).__name__}: {error}", where)
