"""The ``prep`` command. Thin: nothing heavy is imported before a command runs."""

from __future__ import annotations

import itertools
import os
import signal
import sys
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Annotated

import typer
from typer.main import get_command

from prep import __version__
from prep.commands import job_folder_command, measure_command
from prep.console import out, out_table, prepare_streams, progress, say
from prep.errors import PrepError
from prep.plugins import Plugins, find_plugins
from prep.request import Request

if TYPE_CHECKING:
    from prep.artwork import Artwork

_BROKEN_PIPE = 141  # 128 + SIGPIPE, as a shell reports it
_INTERRUPTED = 130
_ENDING = ("SIGTERM", "SIGHUP")


class _Ended(KeyboardInterrupt):
    """A signal asks the command to end; what it holds is closed on the way out."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.name, self.status = signal.Signals(number).name, 128 + number


def main() -> None:
    """Run the command and end the process with its exit status."""
    prepare_streams()
    if sys.stdout is None:  # closed by the shell: there is nobody to read the data
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115  # lives as long as the process
    _end_in_order()
    status = run(sys.argv[1:])
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        status = _close_quietly()
    except OSError as error:
        status = _output_lost(error)
    sys.exit(status)


def _end_in_order() -> None:
    def end(number: int, _: FrameType | None) -> None:
        raise _Ended(number)

    for name in _ENDING:
        number = getattr(signal, name, None)  # Windows has no SIGHUP
        if number is not None and signal.getsignal(number) == signal.SIG_DFL:  # else nohup's
            signal.signal(number, end)


def run(arguments: list[str]) -> int:
    """Run the command line and give the exit status; every error becomes one line."""
    try:
        return _run(arguments)
    except PrepError as error:
        for line in error.lines():
            say(f"prep: {line}")
        _trace(error)
        return error.exit_status
    except typer.TyperException as error:
        context = getattr(error, "ctx", None)  # usage errors know the subcommand they belong to
        where = context.command_path if context is not None else "prep"
        said = " ".join(error.format_message().split()).rstrip(".")
        say(f"{where}: {said}; see {where} --help")
        return 2
    except _Ended as ended:
        say(f"prep: ended by {ended.name}")
        return ended.status
    except (KeyboardInterrupt, typer.Abort):
        say("prep: interrupted")
        return _INTERRUPTED
    except BrokenPipeError:
        return _close_quietly()
    except OSError as error:
        return _output_lost(error)
    except Exception as error:  # the last line of defence: a fault of ours, told in one line
        say(f"prep: a fault of Firstpull: {type(error).__name__}: {error}; please report it")
        _trace(error)
        return 3


def _run(arguments: list[str]) -> int:
    # not app(): typer's own main turns a closed pipe into exit status 1, which means trouble here
    command = get_command(make_app(find_plugins(_left_out(arguments))))
    try:
        with command.make_context("prep", list(arguments) or ["--help"]) as context:
            command.invoke(context)
    except typer.Exit as ended:
        return ended.exit_code if arguments else 2
    return 0


def _left_out(arguments: list[str]) -> list[str]:
    """Read ``--without`` ahead of the parser: a broken plugin must not get a say."""
    following = [v for f, v in itertools.pairwise(arguments) if f == "--without"]
    joined = [a.removeprefix("--without=") for a in arguments if a.startswith("--without=")]
    return following + joined


def make_app(plugins: Plugins) -> typer.Typer:
    """Build the command with the core's subcommands and the plugins'."""
    app = typer.Typer(
        name="prep",
        help="Everything to know and have in hand before the first pull.",
        no_args_is_help=False,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )

    @app.callback(invoke_without_command=True)
    def _prep(
        version: Annotated[bool, typer.Option("--version", help="show the version")] = False,
    ) -> None:
        if version:
            out(f"firstpull {__version__}")
            raise typer.Exit

    job_folder_command(
        app,
        "sheet",
        help="The whole job: prep sheet, films, record, in a folder.",
        run=_sheet,
        ending="prep",
    )
    measure_command(
        app, "measure", help="Per colour: area, finest opening and gap, islands.", run=_measure
    )

    @app.command("plugins", help="What is loaded, from where, and what each gives.")
    def _plugins() -> None:
        _list(plugins)

    for name in plugins.names:
        try:
            plugins.call(name, "prep_commands", app=app)
        except PrepError as error:
            say(f"prep: {error}")
    return app


def _sheet(request: Request, folder: Path | None) -> int:
    from prep.artwork import assumed_size
    from prep.folder import repair_folder
    from prep.line import open_line

    where = folder or Path(f"{request.job_name}-prep")
    repair_folder(where)
    with progress() as tell, open_line(request, tell=tell) as line:
        reports = line.write(where)
    out(f"{where}{os.sep}")
    for report in reports:
        job = report.job
        out(
            f"  {job.setup.name}: {_counted(job.setup.shirts, 'shirt')},"
            f" {_counted(len(job.screens), 'screen')}"
            f"{assumed_size(job.artwork) or _size(job.artwork)}"
        )
        for severity in ("will fail", "at risk"):
            found = [f.count for f in report.findings if f.severity == severity]
            if found:
                places = _counted(sum(found), "place")
                out(f"    {severity}: {places} in {_counted(len(found), 'finding')}, see the sheet")
        for line_of_text in report.lacking:
            say(f"prep: {line_of_text}")
    return 0


def _size(artwork: Artwork) -> str:
    return f", {artwork.width_mm:.0f} × {artwork.height_mm:.0f} mm"


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _measure(
    request: Request, as_json: bool, pictures: Path | None, limits: tuple[str, ...]
) -> int:
    from prep.measuring import measure_job

    return measure_job(request, as_json=as_json, pictures=pictures, limits=limits)


def _list(plugins: Plugins) -> None:
    rows = [(p.name, p.distribution, p.module.__name__, ", ".join(p.gives)) for p in plugins]
    out_table(("name", "package", "module", "gives"), rows)
    for failure in plugins.failures:
        say(f"prep: {failure}")


def _trace(error: BaseException) -> None:
    if os.environ.get("FIRSTPULL_TRACE"):
        import traceback

        traceback.print_exception(error, file=sys.stderr)


def _output_lost(error: OSError) -> int:
    """Say that what was printed can't be written where it was sent, like onto a full disk."""
    say(f"prep: output can't be written: {error.strerror or error}; send it elsewhere")
    _close_quietly()
    return 2


def _close_quietly() -> int:
    """Point standard output at nothing, so that the interpreter's last flush stays quiet too."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return _BROKEN_PIPE
