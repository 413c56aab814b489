"""What a garment is made of, by the words of the order: ``60 % cotton, 40 % polyester``."""

from __future__ import annotations

import re
from typing import Literal, get_args

Fibre = Literal[
    "cotton",
    "linen",
    "hemp",
    "viscose",
    "lyocell",
    "polyester",
    "polyamide",
    "acrylic",
    "elastane",
    "wool",
    "silk",
]
FIBRES: tuple[Fibre, ...] = get_args(Fibre)
_ALSO: dict[str, Fibre] = {
    "flax": "linen",
    "rayon": "viscose",
    "bamboo": "viscose",
    "modal": "viscose",
    "nylon": "polyamide",
    "spandex": "elastane",
    "poly": "polyester",
}
_WORDS: dict[str, Fibre] = {**{name: name for name in FIBRES}, **_ALSO}
_TOKEN = re.compile(r"(\d+(?:[.,]\d+)?)\s*(%?)|([a-z]+)")
_WHOLE = (0.95, 1.05)
"""What bare numbers must sum to for being shares: 50/50, but not the 30/1 of a yarn."""


def fibre_shares(text: str) -> dict[Fibre, float | None]:
    """Give the share of each fibre named, 0..1; ``None`` where none is given for it.

    Shares stand before or behind the fibres, in per cent, or as bare numbers that sum to a hundred.
    Nothing at all where no fibre is known by these words.

    >>> fibre_shares("60 % cotton, 40 % polyester"), fibre_shares("polyester 65 %, cotton 35 %")
    ({'cotton': 0.6, 'polyester': 0.4}, {'polyester': 0.65, 'cotton': 0.35})
    >>> fibre_shares("50/50 cotton/poly"), fibre_shares("30/1 cotton, 180 gsm")
    ({'cotton': 0.5, 'polyester': 0.5}, {'cotton': None})
    >>> fibre_shares("mystery cloth")
    {}
    """
    found: dict[Fibre, float | None] = {}
    for fibre, share in _paired(text.lower().replace("polycotton", "polyester cotton")):
        before = found.get(fibre)
        found[fibre] = share if before is None else before + (share or 0.0)
    return found


def _paired(text: str) -> list[tuple[Fibre, float | None]]:
    tokens = [
        (float(number.replace(",", ".")) / 100.0 if number else None, bool(sign), word)
        for number, sign, word in _TOKEN.findall(text)
    ]
    fibres = [_WORDS[word] for _, _, word in tokens if word in _WORDS]
    signed = [share for share, sign, _ in tokens if share is not None and sign]
    bare = [share for share, _, _ in tokens if share is not None]
    for shares in (signed, bare):
        if len(shares) == len(fibres) and _WHOLE[0] <= sum(shares) <= _WHOLE[1]:
            return list(zip(fibres, shares, strict=True))
    found: list[tuple[Fibre, float | None]] = []
    share: float | None = None
    for number, sign, word in tokens:
        if number is not None:
            share = number if sign and number <= 1.0 else None
        elif word in _WORDS:
            found.append((_WORDS[word], share))
            share = None
    return found
