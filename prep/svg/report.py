"""Collects what a reading has to say: reasons against it and notes about it, none twice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from prep.errors import Reason
from prep.svg.features import FEATURES, Treatment

_NAMED = 3  # elements named in one note
_TOLD = 20  # notes of one kind


class Report:
    """Reasons and notes of one reading, in the order they were met."""

    def __init__(self) -> None:
        """Start with nothing to say."""
        self._reasons: dict[Reason, None] = {}
        self._noted: dict[tuple[str, str], dict[str, None]] = {}

    def refuse(self, key: str, element: str, detail: str = "") -> None:
        """Add a reason against the file.

        :param key: of a refused feature
        :param element: how to find the element
        :param detail: what was found, shown in brackets
        """
        feature = FEATURES[key]
        if feature.treatment is not Treatment.REFUSED:
            raise ValueError(f"{key} is not refused")
        what = f"{feature.what} ({detail})" if detail else feature.what
        self._reasons[Reason(element, what, feature.do)] = None

    def note(self, key: str, element: str, detail: str = "") -> None:
        """Add a note; elements with the same thing to say share one."""
        if FEATURES[key].treatment is not Treatment.NOTED:
            raise ValueError(f"{key} is not noted")
        self._noted.setdefault((key, detail), {})[element] = None

    def say(self, key: str, sentence: str) -> None:
        """Add a note that is a whole sentence of its own."""
        if FEATURES[key].treatment is not Treatment.NOTED:
            raise ValueError(f"{key} is not noted")
        self._noted.setdefault((key, sentence), {})

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """All reasons against the file."""
        return tuple(self._reasons)

    @property
    def notes(self) -> tuple[str, ...]:
        """All notes, as whole sentences."""
        told: list[str] = []
        of_kind: Counter[str] = Counter()
        for (key, detail), elements in self._noted.items():
            of_kind[key] += 1
            if of_kind[key] <= _TOLD:
                named = list(elements)
                told.append(_sentence(FEATURES[key].what, detail, named) if named else detail)
        for key, count in of_kind.items():
            if count > _TOLD:
                told.append(f"There is more of this, {count - _TOLD} times: {FEATURES[key].what}.")
        return tuple(told)


def _sentence(what: str, detail: str, elements: list[str]) -> str:
    more = len(elements) - _NAMED
    text = f"{_listed(elements[:_NAMED])} {what}"
    if detail:
        text += f" ({detail})"
    if more > 0:
        text += f"; so with {more} more"
    return text[0].upper() + text[1:] + "."


def _listed(names: Iterable[str]) -> str:
    names = list(names)
    return names[0] if len(names) == 1 else "Each of " + "; ".join(names)
