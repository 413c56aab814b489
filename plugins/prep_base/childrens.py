"""Which shirts of a set-up are for children, by what their sizes and names say."""

from __future__ import annotations

from prep.garments import build_of, of_children
from prep.order import SetUp


def childrens(setup: SetUp) -> tuple[str, ...]:
    """Give the sizes of a set-up that seem to be children's, and garments whose name says so."""
    found: dict[str, None] = {}
    for batch in setup.batches:
        if of_children(batch.garment):
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
    return build_of(size) not in (None, "adult")
