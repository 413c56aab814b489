"""The places of glyphs: from characters with their positions to glyphs in user space.

Source: SVG 2, 11.5 (text layout algorithm), for horizontal text from left to right whose lines nothing
wraps; CSS Text Module Level 3, 8 (letter and word spacing). Where viewers are known to depart from it or
from each other, nothing is laid out: :class:`NotLaidOut` says why.
"""

from __future__ import annotations

import itertools
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from prep.svg.fonts import Face, Glyph

_SEPARATORS = "\u0020\u00a0\u1361\U00010100\U00010101\U0001039f\U0001091f"
"""Word separators that word-spacing widens (CSS Text 3, 8.1)."""
_NEUTRAL = ("Zyyy", "Zinh")
_RIGHT_TO_LEFT = frozenset(("R", "AL", "AN", "RLE", "LRE", "RLO", "LRO", "RLI", "LRI", "FSI"))


class NotLaidOut(Exception):
    """Text that isn't laid out.

    :param feature: key of the refused feature
    :param part: number of the part it is about
    """

    def __init__(self, feature: str, part: int, detail: str) -> None:
        self.feature, self.part, self.detail = feature, part, detail
        super().__init__(detail)


@dataclass(frozen=True, slots=True)
class Spacing:
    """How the characters of one element are set, whatever their font.

    :param size: of the font, in user units
    :param letter: extra space after each character, in user units
    :param word: extra space after each word separator
    :param language: as the file names it, empty if it doesn't
    """

    size: float
    letter: float
    word: float
    anchor: Literal["start", "middle", "end"]
    language: str


@dataclass(frozen=True, slots=True)
class Manner(Spacing):
    """How the characters of one element are set, and in which font."""

    face: Face


@dataclass(slots=True)
class Character:
    """An addressable character.

    :param part: number of the part of the text it stands in
    :param x: where it is to be put, in user units; None for where the one before ends
    :param dx: how far it is moved from there
    """

    sign: str
    part: int
    x: float | None = None
    y: float | None = None
    dx: float | None = None
    dy: float | None = None

    @property
    def starts_chunk(self) -> bool:
        """Whether it begins a chunk that is anchored by itself."""
        return self.x is not None or self.y is not None

    @property
    def is_placed(self) -> bool:
        """Whether the file says anything about its place."""
        return self.starts_chunk or bool(self.dx) or bool(self.dy)


@dataclass(frozen=True, slots=True)
class PlacedGlyph:
    """A glyph with the place of its origin in user space, y downwards.

    :param chunk: number of the chunk it stands in; viewers paint chunks one after the other
    """

    part: int
    number: int
    x: float
    y: float
    chunk: int


def hindrances(
    characters: Sequence[Character], spacings: Sequence[Spacing]
) -> Iterator[NotLaidOut]:
    """Give what keeps a text from being laid out exactly in any font, each kind once.

    :param spacings: by number of the part
    """
    leftward = [c for c in characters if unicodedata.bidirectional(c.sign) in _RIGHT_TO_LEFT]
    unseen = [c for c in characters if unicodedata.category(c.sign) in ("Cf", "Cc", "Zl", "Zp")]
    for what, found in (("from right to left", leftward), ("an invisible sign", unseen)):
        for one in found[:1]:
            yield NotLaidOut("lettering", one.part, f"{what}: {_named(one.sign)}")
    plain = True
    for number, chunk in enumerate(_chunks(characters)):
        first = chunk[0]
        aligned = spacings[first.part].anchor == "start"
        spaced = [one for one in chunk if spacings[one.part].letter or spacings[one.part].word]
        before, plain = plain, aligned and not spaced
        if number and first.x is None and not (before and plain):
            yield NotLaidOut(
                "lettering", first.part, "y without x in text that is spaced or not left-aligned"
            )
        if not aligned and spaced:
            yield NotLaidOut("lettering", spaced[0].part, "spacing in text that isn't left-aligned")
        moved = [one for one in chunk[1:] if one.dx]
        if not aligned and moved:
            yield NotLaidOut("lettering", moved[0].part, "dx in text that isn't left-aligned")


def lay_out(characters: Sequence[Character], manners: Sequence[Manner]) -> list[PlacedGlyph]:
    """Place the glyphs of one text element that has no :func:`hindrances`.

    :param manners: by number of the part
    :raises NotLaidOut: its fonts set it in a way that isn't laid out exactly
    """
    placed: list[PlacedGlyph] = []
    x = y = 0.0
    for number, chunk in enumerate(_chunks(characters)):
        first = chunk[0]
        anchor = manners[first.part].anchor
        x, y = (x if first.x is None else first.x), (y if first.y is None else first.y)
        glyphs, x, y = _chunk(number, chunk, manners, anchor, x, y)
        placed += glyphs
    return placed


def _chunks(characters: Sequence[Character]) -> Iterator[Sequence[Character]]:
    starts = [0, *(i for i, one in enumerate(characters) if i and one.starts_chunk)]
    for start, end in zip(starts, [*starts[1:], len(characters)], strict=True):
        if start < end:
            yield characters[start:end]


@dataclass(frozen=True, slots=True)
class _Cluster:
    """Characters that glyphs stand for together, and these glyphs."""

    part: int
    first: Character
    glyphs: Sequence[Glyph]
    advance: float


def _chunk(
    number: int,
    chunk: Sequence[Character],
    manners: Sequence[Manner],
    anchor: str,
    x: float,
    y: float,
) -> tuple[list[PlacedGlyph], float, float]:
    """Place a chunk; gives where the next one begins, too."""
    runs = list(_runs(chunk, manners))
    for before, after in itertools.pairwise(runs):
        _check_border(before, after, manners)
    clusters = [cluster for run in runs for cluster in _clusters(run, manners)]
    for run in runs:
        _check_script(run, runs[0][0], manners)
    placed: list[PlacedGlyph] = []
    begin = x + (chunk[0].dx or 0.0)
    left, right = begin, begin
    for one in clusters:
        manner = manners[one.part]
        scale = manner.size / manner.face.units
        x += one.first.dx or 0.0
        y += one.first.dy or 0.0
        at = x
        for glyph in one.glyphs:
            placed.append(
                PlacedGlyph(
                    one.part, glyph.number, at + glyph.x * scale, y - glyph.y * scale, number
                )
            )
            at += glyph.advance * scale
        if anchor == "start" and x < begin:
            # SVG 2, 11.5 moves the whole text right by as much; viewers don't
            raise NotLaidOut("lettering", one.part, "dx that leads left of where the text begins")
        left, right = min(left, x), max(right, x + one.advance)
        x += one.advance
    middle = {"start": left, "middle": (left + right) / 2, "end": right}[anchor]
    shift = begin - middle
    if shift:
        placed = [replace(glyph, x=glyph.x + shift) for glyph in placed]
    return placed, x, y


_Run = tuple[str, Sequence[Character]]
"""Characters shaped together, after the script they are in."""


def _runs(chunk: Sequence[Character], manners: Sequence[Manner]) -> Iterator[_Run]:
    """Cut a chunk where font, size, spacing or script change."""
    scripts = _scripts(chunk)
    start = 0
    for i in range(1, len(chunk)):
        manner, before = manners[chunk[i].part], manners[chunk[i - 1].part]
        if scripts[i] != scripts[i - 1] or (
            (manner.face, manner.size, manner.letter, manner.language)
            != (before.face, before.size, before.letter, before.language)
        ):
            yield scripts[start], chunk[start:i]
            start = i
    yield scripts[start], chunk[start:]


def _scripts(chunk: Sequence[Character]) -> list[str]:
    """Give each character's script; those of none, like digits, follow the one before."""
    from fontTools.unicodedata import script

    own = [script(one.sign) for one in chunk]
    at = next((one for one in own if one not in _NEUTRAL), "Zyyy")
    found = []
    for one in own:
        at = at if one in _NEUTRAL else one
        found.append(at)
    return found


def _check_border(before: _Run, after: _Run, manners: Sequence[Manner]) -> None:
    """Refuse two letters that some viewers kern across a change of font, size or spacing.

    By CSS Text 3, 7.3, shaping ends there.
    """
    (script, left), (other, right) = before, after
    if script != other:
        return
    last = next((i for i in range(len(left) - 1, 0, -1) if not _is_mark(left[i])), 0)
    end = next((i for i in range(1, len(right)) if not _is_mark(right[i])), len(right))
    ending = "".join(one.sign for one in left[last:])
    beginning = "".join(one.sign for one in right[:end])
    for part in (left[-1].part, right[0].part):
        face = manners[part].face
        whole, first, second = (
            sum(glyph.advance for glyph in face.shape(text, script, ligatures=True))
            for text in (ending + beginning, ending, beginning)
        )
        if whole != first + second:
            raise NotLaidOut(
                "lettering", part, f"kerning over a change of font or spacing: {_named(ending[0])}"
            )


def _is_mark(character: Character) -> bool:
    return unicodedata.category(character.sign).startswith("M")


def _check_script(run: _Run, first: str, manners: Sequence[Manner]) -> None:
    """Refuse letters that some viewers shape by the rules of the script the text begins in."""
    script, characters = run
    manner = manners[characters[0].part]
    text = "".join(one.sign for one in characters)
    if script != first and (
        manner.face.shape(text, script, ligatures=not manner.letter)
        != manner.face.shape(text, first, ligatures=not manner.letter)
    ):
        raise NotLaidOut("lettering", characters[0].part, "letters of several scripts together")


def _clusters(run: _Run, manners: Sequence[Manner]) -> Iterator[_Cluster]:
    script, characters = run
    manner = manners[characters[0].part]
    text = "".join(one.sign for one in characters)
    ligatures = not manner.letter
    glyphs = manner.face.shape(text, script, ligatures=ligatures)
    if not ligatures and glyphs != manner.face.shape(text, script, ligatures=True):
        # CSS Text 3, 8.2 takes ligatures apart in spaced text; some viewers don't
        raise NotLaidOut("lettering", characters[0].part, "ligatures in spaced text")
    if manner.language:
        local = manner.face.shape(text, script, ligatures=ligatures, language=manner.language)
        if local != glyphs:
            raise NotLaidOut(
                "lettering", characters[0].part, f"letters of the language {manner.language[:20]}"
            )
    starts = sorted({glyph.first for glyph in glyphs})
    scale = manner.size / manner.face.units
    for start, end in zip(starts, [*starts[1:], len(characters)], strict=True):
        first, own = characters[start], [glyph for glyph in glyphs if glyph.first == start]
        if any(glyph.number == 0 for glyph in own):
            missing = ", ".join(_named(one.sign) for one in characters[start:end])
            raise NotLaidOut(
                "missing characters", first.part, f"{missing} in {manner.face.file.name}"
            )
        if start == 0 and unicodedata.category(first.sign).startswith("M"):
            raise NotLaidOut("lettering", first.part, f"{_named(first.sign)} without its letter")
        for one in characters[start + 1 : end]:
            if one.is_placed or one.part != first.part:
                raise NotLaidOut(
                    "lettering", one.part, f"a change within the glyph of {_named(one.sign)}"
                )
        advance = sum(glyph.advance for glyph in own) * scale + manner.letter
        if first.sign in _SEPARATORS:
            advance += manners[first.part].word
        if advance < 0:
            raise NotLaidOut("lettering", first.part, "spacing tighter than the letters are wide")
        yield _Cluster(first.part, first, own, advance)


def _named(sign: str) -> str:
    shown = f'"{sign}" ' if sign.isprintable() and not unicodedata.combining(sign) else ""
    return f"{shown}U+{ord(sign):04X}"
