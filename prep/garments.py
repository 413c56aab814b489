"""What a garment is and for whom, by what the order says, else by its words.

Words for sizes are common practice of the trade, no source.
"""

from __future__ import annotations

import re
from typing import Literal

from prep.order import Batch, Style

Build = Literal["adult", "youth M and up", "youth XS-S", "toddler"]
"""For whom a garment is cut, as far as prints are placed by it."""

_HOODIE = re.compile(r"\b(hood(ie|y|ed)s?|hoods?|zip-?hood\w*)\b", re.IGNORECASE)
_SWEATSHIRT = re.compile(r"\b(sweat(shirt|er)?s?|fleeces?|pullovers?|jumpers?|jogger\w*)\b", re.I)

_LETTERS = r"(?:[2-9]?x{0,4}[sl]|[sml]|xx+[sl]|one size|os)"
_ADULT = re.compile(
    rf"(?:(?:adults?|men'?s?|women'?s?|ladies'?|unisex|mens|womens)\s*)?{_LETTERS}"
    rf"(?:\s*[-\u2013/]\s*{_LETTERS})?|small|medium|(?:x-?|extra )?large|(?:x-?|extra )small"
)
_CHILD = re.compile(
    r"\b(youths?|kids?|child(?:ren)?(?:'s)?|childrens|juniors?|boys?'?s?|girls?'?s?)\b"
)
_TODDLER = re.compile(
    r"\b(toddlers?|infants?|bab(?:y|ies)|newborns?)\b|\b\d{1,2}(?:\s*[-\u2013/]\s*\d{1,2})?\s*"
    r"(?:t|m|mo|mths?|months?)\b"
)
_YEARS = re.compile(
    r"\b(\d{1,2})(?:\s*[-\u2013/]\s*(\d{1,2}))?\s*(?:y|yrs?|years?)\b|\bage\s*(\d{1,2})"
)
_HEIGHT = re.compile(r"(\d{2,3})(?:\s*[-\u2013/]\s*(\d{2,3}))?(\s*cm)?")
_BARE_HEIGHTS_CM = range(74, 165, 6)
"""Body heights that sizes are called by without a unit; smaller ones look like adults' sizes. Common
practice, no source."""
_SMALL = re.compile(r"\b(?:[2-9]?x{0,4}s|x?-?small)\b")
_TODDLER_TO_CM, _SMALL_TO_CM, _CHILD_TO_CM = 104, 128, 164
"""Body heights that toddlers', small children's and children's sizes go up to; adults' sizes aren't
named by height. Common practice, no source."""
_TODDLER_TO_YEARS, _SMALL_TO_YEARS = 4, 8


def style_of(batch: Batch) -> Style:
    """Tell what garments are: as the order says, else by their name; a tee where that says nothing.

    >>> from prep.order import Batch
    >>> style_of(Batch("black hoodie", "#000000", "cotton", (("M", 1),)))
    'hoodie'
    """
    if batch.style is not None:
        return batch.style
    if _HOODIE.search(batch.garment):
        return "hoodie"
    words = f"{batch.garment} {batch.fibre}"
    return "sweatshirt" if _SWEATSHIRT.search(words) else "tee"


def of_children(garment: str) -> bool:
    """Tell whether a garment's name speaks of children.

    >>> of_children("navy youth tee"), of_children("navy tee")
    (True, False)
    """
    called = garment.lower()
    return bool(_CHILD.search(called) or _TODDLER.search(called) or _YEARS.search(called))


def build_of(size: str, garment: str = "") -> Build | None:
    """Tell for whom a size is cut; ``None`` where its words aren't known.

    :param garment: its name; one that speaks of children makes letters alone a child's size

    >>> [build_of(size) for size in ("3XL", "youth XS-S", "youth M-L", "2T", "122/128", "9-11 years")]
    ['adult', 'youth XS-S', 'youth M and up', 'toddler', 'youth XS-S', 'youth M and up']
    >>> build_of("M", "navy youth tee"), build_of("tent"), build_of("52"), build_of("52 cm")
    ('youth M and up', None, None, 'toddler')
    """
    said = " ".join(size.lower().split())
    if _TODDLER.search(said):
        return "toddler"
    years = _YEARS.search(said)
    if years is not None:
        last = int(next(group for group in reversed(years.groups()) if group is not None))
        if last <= _TODDLER_TO_YEARS:
            return "toddler"
        return "youth XS-S" if last <= _SMALL_TO_YEARS else "youth M and up"
    if _CHILD.search(said):
        return "youth XS-S" if _SMALL.search(said) else "youth M and up"
    height = _HEIGHT.fullmatch(said)
    if height is not None:
        tall = [int(cm) for cm in height.groups()[:2] if cm]
        known = height[3] is not None or all(cm in _BARE_HEIGHTS_CM for cm in tall)
        return _by_height(tall[-1]) if known else None
    if not _ADULT.fullmatch(said):
        return None
    called = garment.lower()
    if _TODDLER.search(called):
        return "toddler"
    if _CHILD.search(called):
        return "youth XS-S" if _SMALL.search(said) else "youth M and up"
    return "adult"


def _by_height(cm: int) -> Build | None:
    if not 50 <= cm <= _CHILD_TO_CM:
        return None
    if cm <= _TODDLER_TO_CM:
        return "toddler"
    return "youth XS-S" if cm <= _SMALL_TO_CM else "youth M and up"
