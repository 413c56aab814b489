"""What a plugin says of a detail that will fail, may fail, or is worth knowing."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from prep.phrases import at_most

Severity = Literal["will fail", "at risk", "note"]
SEVERITIES: tuple[Severity, ...] = ("will fail", "at risk", "note")


@dataclass(frozen=True, slots=True)
class Unused:
    """What order.toml says that has no use in a set-up.

    :param says: a sentence
    :param at: where it stands, like ``("base", "under", 0)``
    """

    says: str
    at: tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """One detail of the job.

    :param severity: what happens if nothing is done
    :param kind: a few plain words that name the kind of trouble, like ``opening too narrow to weed``
    :param screen: key of the screen it sits on; ``None`` when it concerns the whole set-up
    :param colour: ``#rrggbb`` of the artwork's colour, where there is one
    :param at_mm: place in the artwork, (x, y) in mm from its top left; ``None`` = nowhere in particular
    :param size_mm: the width that decides, in mm
    :param what: what it is, with its figures, a sentence
    :param why: why that is trouble, a sentence
    :param do: what to do, a sentence
    :param count: how many like it this one stands for
    :param also_at_mm: places of the others it stands for, where they are known
    :param by: name of the plugin, stamped by the core
    :param fits_up_to_mm: largest width of the artwork at which it is gone, where width is the trouble
    :param on_prints: share of the prints that show it, 0..1, where it comes and goes by chance
    :param unused: what of order.toml has no use in this set-up, like ``base.under names #1f3a5f``; one that
        has none in any set-up is refused
    :param unused_at: where that stands, like ``("base", "under", 0)``; the set-up's own order.toml is
        written without it
    """

    severity: Severity
    kind: str
    what: str
    why: str
    do: str
    screen: str | None = None
    colour: str | None = None
    at_mm: tuple[float, float] | None = None
    size_mm: float | None = None
    count: int = 1
    by: str = ""
    also_at_mm: tuple[tuple[float, float], ...] = ()
    fits_up_to_mm: float | None = None
    on_prints: float | None = None
    unused: str = ""
    unused_at: tuple[str | int, ...] = ()

    def __post_init__(self) -> None:
        """Check what others rely on.

        :raises ValueError: an unknown severity, a count below one, or figures that aren't finite
        """
        if self.severity not in SEVERITIES:
            raise ValueError(f"severity {self.severity!r} is none of {', '.join(SEVERITIES)}")
        if self.count < 1:
            raise ValueError(f"a finding stands for one place or more, not {self.count}")
        figures = (self.size_mm or 0.0, *(self.at_mm or ()))
        if not all(math.isfinite(figure) for figure in figures):
            raise ValueError(f"a finding's figures must be finite: {figures}")


def too_large(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Give what keeps the whole print from being made at its size: of no screen, at no place, with a size.

    While one stands, fewer faults in the details are no better print.
    """
    return tuple(
        finding
        for finding in findings
        if finding.severity == "will fail"
        and finding.screen is None
        and finding.at_mm is None
        and finding.size_mm is not None
    )


def fits_all_up_to_mm(findings: Iterable[Finding]) -> float | None:
    """Give the largest width of the artwork at which several troubles with its size are gone together.

    ``None`` where fewer than two different widths are named, or one of the troubles has none.
    """
    sized = [finding.fits_up_to_mm for finding in too_large(findings)]
    named = [width for width in sized if width is not None]
    return min(named) if len(set(named)) > 1 and len(named) == len(sized) else None


def fits_all_words(findings: Iterable[Finding], units: str) -> str:
    """Say which of several largest widths holds; empty where there is nothing to choose between."""
    most = fits_all_up_to_mm(findings)
    if most is None:
        return ""
    return f"All of this is settled together at a width of {at_most(most, units)} or less."


def worst_first(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Sort by severity, then what concerns the whole print or a whole screen, then the smallest size.

    Then by place, so that the order is the same every time.
    """
    return tuple(
        sorted(
            findings,
            key=lambda f: (
                SEVERITIES.index(f.severity),
                f.at_mm is not None,
                f.size_mm if f.size_mm is not None else float("inf"),
                f.screen or "",
                f.kind,
                f.at_mm or (0.0, 0.0),
                f.what,
            ),
        )
    )


def alike(
    findings: Iterable[Finding], names: Mapping[str, tuple[str, ...]]
) -> tuple[tuple[Finding, ...], ...]:
    """Put findings together that say the same words of other places or other screens.

    :param names: key of a screen -> what it is called in sentences: its ink, its colour
    :return: groups in the order of their first finding, each in the order given
    """
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for finding in findings:
        called = names.get(finding.screen or "", ())
        words = (_placeless(text, finding.at_mm, called) for text in _said(finding))
        size = None if finding.size_mm is None else round(finding.size_mm, 2)
        key = (finding.severity, finding.kind, finding.count, size, *words)
        groups.setdefault(key, []).append(finding)
    return tuple(tuple(group) for group in groups.values())


def _said(finding: Finding) -> tuple[str, str, str]:
    return finding.what, finding.why, finding.do


def _placeless(text: str, at_mm: tuple[float, float] | None, called: Iterable[str]) -> str:
    """Give words without the two figures of their place, in mm or inches, and without a screen's names."""
    told = [re.escape(name) for name in sorted(set(called) - {""}, key=lambda n: (-len(n), n))]
    if at_mm is not None:
        for x, y in (
            (f"{at_mm[0]:.1f}", f"{at_mm[1]:.1f}"),
            (f"{at_mm[0] / 25.4:.2f}", f"{at_mm[1] / 25.4:.2f}"),
        ):
            # a few words may stand between, as in "1.5 mm from the left and 2.5 mm from the top"
            told.append(rf"{re.escape(x)}\D{{1,30}}{re.escape(y)}")
    return re.sub(rf"(?<![\w.])(?:{'|'.join(told)})(?!\w)", "*", text) if told else text
