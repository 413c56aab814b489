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
_TOKEN = re.compile(r"\d+(?:[.,]\d+)?|[a-z]+")


def fibre_shares(text: str) -> dict[Fibre, float | None]:
    """Give the share of each fibre named, 0..1, that stands before its name; ``None`` where none does.

    Nothing at all where no fibre is known by these words.

    >>> fibre_shares("60 % cotton, 40 % polyester")
    {'cotton': 0.6, 'polyester': 0.4}
    >>> fibre_shares("50/50 cotton/poly")
    {'cotton': 0.5, 'polyester': 0.5}
    >>> fibre_shares("organic cotton"), fibre_shares("mystery cloth")
    ({'cotton': None}, {})
    """
    found: dict[Fibre, float | None] = {}
    waiting: list[float] = []
    for token in _TOKEN.findall(text.lower().replace("polycotton", "polyester cotton")):
        if token[0].isdigit():
            waiting.append(float(token.replace(",", ".")) / 100.0)
        elif token in _WORDS:
            share = waiting.pop(0) if waiting else None
            before = found.get(_WORDS[token])
            found[_WORDS[token]] = share if before is None else before + (share or 0.0)
    return found
