"""Which shirts of a set-up are for children, by what their sizes and names say."""

from __future__ import annotations

import re

from prep.order import SetUp

_WORDS = re.compile(
    r"\b(youth|kids?|child(ren)?|toddlers?|infants?|bab(y|ies)|newborn|juniors?|boys?|girls?)\b"
    r"|\b\d+(\s*[-\u2013/]\s*\d+)?\s*(t|y|yrs?|years?|mo|mths?|months?)\b",
    re.IGNORECASE,
)
_HEIGHT = re.compile(r"(\d{2,3})(?:\s*[-\u2013/]\s*(\d{2,3}))?(?:\s*cm)?")
_HEIGHTS_CM = range(74, 165, 6)
"""Body heights that children's sizes are called by; smaller ones look like adults' sizes. Common
practice, no source."""


def childrens(setup: SetUp) -> tuple[str, ...]:
    """Give the sizes of a set-up that seem to be children's, and garments whose name says so."""
    found: dict[str, None] = {}
    for batch in setup.batches:
        if _WORDS.search(batch.garment):
            found[batch.garment] = None
            continue
        found |= dict.fromkeys(size for size, _ in batch.sizes if is_childs(size))
    return tuple(found)


def is_childs(size: str) -> bool:
    """Tell whether a size is a child's: by its word, an age or a body height.

    >>> [is_childs(size) for size in ("youth XS-S", "5-6 years", "4T", "116", "122/128")]
    [True, True, True, True, True]
    >>> [is_childs(size) for size in ("M", "2XL", "48", "women S")]
    [False, False, False, False]
    """
    if _WORDS.search(size):
        return True
    height = _HEIGHT.fullmatch(size.strip())
    return height is not None and all(int(cm) in _HEIGHTS_CM for cm in height.groups() if cm)
