"""The command ``prep check``: all findings of all plugins, worst first."""

from __future__ import annotations

import json
import shutil
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from prep.console import out, progress, say
from prep.findings import SEVERITIES, Finding, alike

if TYPE_CHECKING:
    from prep.job import Job, Report
    from prep.request import Request

WILL_FAIL_STATUS = 1


def run(request: Request, as_json: bool) -> int:
    """Check an order: print its findings and give 1 when something will fail, else 0."""
    from prep.line import open_line
    from prep.records import findings_document, notes_of

    with progress() as tell, open_line(request, tell=tell) as line:
        reports = line.reports()
    for report in reports:
        for lack in report.lacking:
            say(f"{report.job.setup.name}: {lack}")
    if as_json:
        out(json.dumps(findings_document(reports), indent=1, ensure_ascii=False))
    else:
        columns = shutil.get_terminal_size((100, 24)).columns
        for text in in_words(reports, columns=columns):
            out(text)
        for note in notes_of(reports):
            for text in _wrapped(note, columns, first="- ", later="  "):
                out(text)
    return status(reports)


def status(reports: Iterable[Report]) -> int:
    """Give 1 when something will fail, else 0."""
    fails = any(f.severity == "will fail" for report in reports for f in report.findings)
    return WILL_FAIL_STATUS if fails else 0


def in_words(reports: Sequence[Report], *, columns: int) -> Iterator[str]:
    """Give the findings as lines: set-ups in order, in each the screen with the worst first.

    What is said in the same words of several places or screens stands once, with the others named.
    """
    from prep.artwork import assumed_size

    for report in reports:
        job = report.job
        yield f"{job.setup.name} ({job.artwork.name}){assumed_size(job.artwork)}"
        for where, findings in _by_screen(job, report.findings):
            yield f"  {where}"
            for group in findings:
                yield from _finding(group, job, columns)
        yield f"  {counted(report.findings)}"
        yield ""


def counted(findings: Iterable[Finding]) -> str:
    """Sum up in a sentence."""
    counts = dict.fromkeys(SEVERITIES, 0)
    for finding in findings:
        counts[finding.severity] += finding.count
    if not any(counts.values()):
        return "Nothing will fail, nothing is at risk."
    fail, risk, note = (counts[severity] for severity in SEVERITIES)
    said = f"{fail} will fail" if fail else "Nothing will fail"
    said += f", {risk} at risk" if risk else ", nothing is at risk"
    return f"{said}; {note} worth knowing." if note else f"{said}."


def _by_screen(
    job: Job, findings: Iterable[Finding]
) -> Iterator[tuple[str, tuple[tuple[Finding, ...], ...]]]:
    names = {
        screen.key: f"screen {screen.number}, {screen.ink} ("
        + ("" if screen.ink == screen.colour else f"{screen.colour}, ")
        + f"mesh {screen.mesh})"
        for screen in job.screens
    }
    called = {screen.key: (screen.ink, screen.colour) for screen in job.screens}
    # in the order of each one's worst finding
    by_screen: dict[str | None, list[tuple[Finding, ...]]] = {}
    for group in alike(findings, called):
        by_screen.setdefault(group[0].screen, []).append(group)
    for key, found in by_screen.items():
        yield ("the whole set-up" if key is None else names.get(key, key)), tuple(found)


def _finding(group: Sequence[Finding], job: Job, columns: int) -> Iterator[str]:
    finding = group[0]
    here = sum(one.count for one in group if one.screen == finding.screen)
    times = f" × {here}" if here > 1 else ""
    yield f"    {finding.severity.upper()}: {finding.kind}{times}"
    texts = [finding.what, finding.why, finding.do]
    others = {one.screen for one in group} - {finding.screen}
    if others:
        numbers = sorted(screen.number for screen in job.screens if screen.key in others)
        listed = ", ".join(str(number) for number in numbers)
        texts.append(f"The same on screen{'s' if len(numbers) > 1 else ''} {listed}.")
    for text in texts:
        yield from _wrapped(text, columns, first=" " * 6, later=" " * 8)


def _wrapped(text: str, columns: int, *, first: str, later: str) -> list[str]:
    return textwrap.wrap(
        text,
        width=max(columns, 40),
        initial_indent=first,
        subsequent_indent=later,
        break_long_words=False,
        break_on_hyphens=False,
    )
