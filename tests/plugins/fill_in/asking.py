"""The plugin's hooks as the core calls them: what it asks of itself it answers itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import prep_fill_in
from prep.errors import Unanswered
from prep.findings import Finding
from prep.job import Ask, Job
from prep.screens import Mark
from prep.sections import Section
from prep_fill_in.trouble import Judged


def _with_own(job: Job, others: Ask) -> Ask:
    own = prep_fill_in.prep_answers()

    def ask(question):  # type: ignore[no-untyped-def]  # as Ask
        try:
            return others(question)
        except Unanswered:
            if question not in own:
                raise
            return own[question](job, ask)

    return ask


def prep_findings(job: Job, marks: Sequence[Mark], ask: Ask) -> Iterable[Finding]:
    """Ask for findings."""
    return prep_fill_in.prep_findings(job=job, marks=tuple(marks), ask=_with_own(job, ask))


def prep_sections(job: Job, findings: Sequence[Finding], ask: Ask) -> Iterable[Section]:
    """Ask for sections."""
    return prep_fill_in.prep_sections(job=job, findings=tuple(findings), ask=_with_own(job, ask))


def judged_by(job: Job, ask: Ask) -> Judged:
    """Ask for what is judged."""
    return _with_own(job, ask)(Judged)
