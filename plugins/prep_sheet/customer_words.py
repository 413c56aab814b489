"""What becomes of details on the print, in the words of who ordered it, not of who cuts and prints."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from prep.findings import Finding
from prep.phrases import percent
from prep_sheet.wording import Units, count, fine


@dataclass(frozen=True, slots=True)
class Seen:
    """What the customer sees of a kind of finding.

    :param detail: what it is in the drawing
    :param becomes: what it will or may do, to stand behind either word
    """

    detail: str
    becomes: str


UNKNOWN = Seen("detail", "not print as drawn")
_LINE = Seen("fine line", "fill in or not print")
_DOT = Seen("small dot", "fill in or not print")
_DRIES = "print fainter from shirt to shirt, then not at all"
_GAP = Seen("narrow gap", "close up with ink")
_SPOT = Seen("small clear spot", "come out filled in")
_POINT = Seen("sharp point", "come out rounded")

GAP, BASE_SHOWS = "gap between colours", "base shows beside a colour"
"""Kinds that come and go by chance, print by print."""

_SEEN: Mapping[str, Seen] = {
    "opening too narrow to cut": _LINE,
    "opening too narrow to weed": _LINE,
    "line too fine for the fabric": _LINE,
    "opening too fine for the mesh": _LINE,
    "opening too narrow to let go of the ink": _LINE,
    "opening that dries shut": Seen("fine line", _DRIES),
    "opening too small to let go of the ink": _DOT,
    "opening too small to cut": _DOT,
    "opening too small to weed": _DOT,
    "dot too small for the fabric": _DOT,
    "small opening that dries shut": Seen("small dot", _DRIES),
    "film strip too narrow to cut": _GAP,
    "film strip too narrow to stay down": _GAP,
    "film strip too fine for the mesh": _GAP,
    "gap that closes on the fabric": _GAP,
    "film island too narrow to cut": _SPOT,
    "film island too small to stay down": _SPOT,
    "film island too fine for the mesh": _SPOT,
    "island that closes on the fabric": _SPOT,
    "sharp tips lost": _POINT,
    "corner sharper than the blade turns": _POINT,
    "hairlines left of a covered shape": Seen("hairline beside a shape", "not print"),
    "touch that looks like a drawing slip": Seen("place where shapes just touch", "print joined"),
    GAP: Seen("edge between colours", "show a thin gap"),
    BASE_SHOWS: Seen("edge of a colour", "show a rim of the ink below"),
    "choke starves a narrow part": Seen("narrow part", "let the shirt show through"),
    "part without a base": Seen("small part", "let the shirt show through"),
}


def seen(kind: str) -> Seen:
    """Give what is seen of a kind of finding; one nobody knows may not print as drawn."""
    return _SEEN.get(kind, UNKNOWN)


def of_a_mark(finding: Finding) -> bool:
    """Tell whether a finding is of a mark to line up by: the printer's trouble, not the drawing's."""
    return finding.kind.startswith(("mark ", "mark:"))


def in_words(finding: Finding, units: Units) -> str:
    """Say what becomes of a detail: ``fine line: will fill in or not print, 0.40 mm``."""
    told = seen(finding.kind)
    sure = finding.severity == "will fail" and told is not UNKNOWN
    figures = [count(finding.count, "place")] if finding.count > 1 else []
    if finding.size_mm is not None:
        figures.append(f"{'from ' if finding.count > 1 else ''}{fine(finding.size_mm, units)}")
    said = f"{told.detail}: {'will' if sure else 'may'} {told.becomes}"
    return ", ".join((said, *figures))


def often(findings: Iterable[Finding], kind: str) -> str:
    """Say on how many of the prints a kind of finding shows, the worst of it: ``97 %``.

    Empty where none of that kind says so, or none is more than a note.
    """
    shares = [
        one.on_prints
        for one in findings
        if one.kind == kind and one.severity != "note" and one.on_prints is not None
    ]
    return percent(max(shares)) if shares else ""


def of_many(findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Say once for each sort of detail what may become of it, and at how many places."""
    places: dict[Seen, int] = {}
    for finding in findings:
        told = seen(finding.kind)
        places[told] = places.get(told, 0) + finding.count
    return tuple(
        f"{count(number, told.detail, _several(told.detail))} may {told.becomes}."
        for told, number in places.items()
    )


def _several(detail: str) -> str:
    """Give a detail's plural: the first noun of it takes the s."""
    for noun in ("hairline", "place", "edge"):
        if detail.startswith(f"{noun} "):
            return detail.replace(noun, f"{noun}s", 1)
    return f"{detail}s"
