"""``prep stencils``: the films alone."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from prep.console import out, progress

if TYPE_CHECKING:
    from prep.job import Report
    from prep.request import Request


def run(request: Request, folder: Path | None) -> int:
    """Write the films of every set-up into a folder; give the exit status.

    :raises prep.errors.InputError: a film doesn't fit; nothing is written then
    """
    from prep.folder import repair_folder
    from prep.line import open_line

    where = folder or Path(f"{request.job_name}-stencils")
    repair_folder(where)
    with progress() as tell, open_line(request, tell=tell) as line:
        reports = line.reports()
        for report in reports:
            _refuse_what_does_not_fit(report)
        line.write(where, reports, {"stencils"})
    out(f"{where}{os.sep}")
    for report in reports:
        _tell(report)
    return 0


def _refuse_what_does_not_fit(report: Report) -> None:
    from prep.errors import InputError
    from prep_stencils.trouble import TOO_LARGE

    for finding in report.findings:
        if finding.kind == TOO_LARGE and finding.by == "stencils":
            do = finding.do[0].lower() + finding.do[1:].rstrip(".")
            raise InputError(finding.what.rstrip("."), where=report.job.setup.name, do=do)


def _tell(report: Report) -> None:
    from prep_stencils.film import film_of
    from prep_stencils.texts import many

    film = film_of(report.job, report.marks)
    if film is not None:
        out(f"  {report.job.setup.name}: {many(len(film.parts), 'film')}, {film.facing}")
        for part in film.parts:
            out(f"    {part.stem}")
