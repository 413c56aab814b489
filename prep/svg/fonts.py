"""Font files that the order names: shaped by HarfBuzz, outlined by fontTools.

Both libraries are imported only when there is text to outline. No font of the system is ever used, so
that a drawing comes out the same on every machine.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

import numpy as np

from prep.errors import InputError
from prep.svg.family_names import family_key
from prep.svg.paths import Path, PathBuilder

FontStyle = Literal["normal", "italic", "oblique"]

LARGEST_FONT = 40 * 1024 * 1024
_COLOURED = frozenset(("COLR", "CBDT", "sbix", "SVG "))
_OUTLINES = ("glyf", "CFF ", "CFF2")
_ENGLISH = 0x409
_LATER_METRICS = (
    *("ulCodePageRange1", "ulCodePageRange2", "sxHeight", "sCapHeight"),
    *("usDefaultChar", "usBreakChar", "usMaxContext"),
)
"""Fields that version 0 of the table OS/2 doesn't have yet, as fontTools names them."""
_PLAIN = {"wdth": 100.0, "ital": 0.0, "slnt": 0.0}
_DAMAGE = (
    *(ArithmeticError, AssertionError, AttributeError, EOFError, LookupError, NotImplementedError),
    *(RecursionError, TypeError, ValueError, struct.error),
)
"""What fontTools is known to raise on damaged tables, beside its own errors."""


@dataclass(frozen=True, slots=True)
class FontFile:
    """A font file and what the artwork calls it.

    :param family: as in the artwork's ``font-family``
    :param weight: 1 to 1000; 400 is normal, 700 bold
    :param name: for messages
    """

    family: str
    weight: int
    style: FontStyle
    data: bytes = field(repr=False)
    name: str


@dataclass(frozen=True, slots=True)
class Glyph:
    """A glyph as shaped; lengths in font units, y upwards.

    :param first: number of the first character it stands for
    """

    number: int
    first: int
    advance: float
    x: float
    y: float


class LibrariesMissing(Exception):
    """The libraries that shape and outline text are not installed."""


class Fonts:
    """The fonts of an order, loaded as they are needed."""

    def __init__(self, files: Sequence[FontFile]) -> None:
        """Keep the files; none is opened yet."""
        self._files = {_key(one.family, one.weight, one.style): one for one in files}
        self._faces: dict[FontFile, Face] = {}

    def __bool__(self) -> bool:
        return bool(self._files)

    def face(self, family: str, weight: float, style: str) -> Face | None:
        """Give the font of exactly this family, weight and style; None if the order names none.

        :raises InputError: the file is no font that can be used
        :raises LibrariesMissing: there is nothing to read fonts with
        """
        file = self._files.get(_key(family, weight, style))
        if file is None:
            return None
        if file not in self._faces:
            self._faces[file] = Face(file)
        return self._faces[file]


def _key(family: str, weight: float, style: str) -> tuple[str, float, str]:
    return family_key(family), float(weight), style


class Face:
    """One font, ready to shape and to outline."""

    def __init__(self, file: FontFile) -> None:
        """Read the font.

        :raises InputError: no font, or one of a kind that isn't read
        :raises LibrariesMissing: there is nothing to read fonts with
        """
        try:
            import uharfbuzz
            from fontTools.ttLib import TTFont, TTLibError
        except ImportError as error:
            raise LibrariesMissing from error
        self.file = file
        if len(file.data) > LARGEST_FONT:
            raise _unusable(file, f"has more than {LARGEST_FONT // 2**20} MB")
        if file.data[:4] in (b"wOFF", b"wOF2", b"ttcf"):
            raise _unusable(file, "is a web font or a collection of fonts")
        try:
            font = TTFont(io.BytesIO(file.data), lazy=True)
            self._check(font)
            self.units = int(font["head"].unitsPerEm)
            self._glyphs = font.getGlyphSet()
            self._names = font.getGlyphOrder()
        except (TTLibError, *_DAMAGE) as error:
            raise _unusable(file, f"can't be read as a font ({_said(error)})") from error
        if not 16 <= self.units <= 16384:
            raise _unusable(file, f"has {self.units} units to the em, which isn't allowed")
        self._harfbuzz: Any = uharfbuzz
        self._shaper = uharfbuzz.Font(uharfbuzz.Face(file.data))
        self._shaper.scale = (self.units, self.units)
        self._outlines: dict[int, Path] = {}
        self._shaped: dict[tuple[str, str, bool, str], tuple[Glyph, ...]] = {}

    def _check(self, font: Any) -> None:
        if any(tag in font for tag in _COLOURED):
            raise _unusable(self.file, "is a colour font")
        if not any(tag in font for tag in _OUTLINES):
            raise _unusable(self.file, "has no outlines")
        if "fvar" not in font:
            return
        plain = {**_PLAIN, "wght": float(self.file.weight)}
        for axis in font["fvar"].axes:
            # of any other instance, viewers would choose by rules of their own
            if axis.minValue != axis.maxValue and axis.defaultValue != plain.get(axis.axisTag):
                raise _unusable(
                    self.file,
                    f"is a variable font whose {axis.axisTag} is {axis.defaultValue:g} by default",
                )
        if self.file.style != "normal":
            raise _unusable(self.file, "is a variable font that isn't slanted by default")

    def shape(
        self, text: str, script: str, *, ligatures: bool, language: str = ""
    ) -> tuple[Glyph, ...]:
        """Turn characters into glyphs, left to right, kerned and with marks placed.

        :param script: four letters of ISO 15924
        :param ligatures: whether the optional ligatures are formed
        """
        key = text, script, ligatures, language
        if key not in self._shaped:
            buffer = self._harfbuzz.Buffer()
            buffer.add_codepoints([ord(sign) for sign in text])
            buffer.direction = "ltr"
            if script != "Zyyy":
                buffer.script = script
            if language:  # never guessed: that would ask the machine
                buffer.language = language
            features = {} if ligatures else {"liga": False, "clig": False}
            self._harfbuzz.shape(self._shaper, buffer, features)
            self._shaped[key] = tuple(
                Glyph(info.codepoint, info.cluster, place.x_advance, place.x_offset, place.y_offset)
                for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
            )
        return self._shaped[key]

    def outline(self, number: int) -> Path:
        """Give a glyph's outline in font units, y upwards.

        :raises InputError: the font is damaged
        """
        if number not in self._outlines:
            from fontTools.ttLib import TTLibError

            builder = PathBuilder()
            try:
                self._glyphs[self._names[number]].draw(self._pen_class(self._glyphs, builder))
            except (TTLibError, *_DAMAGE) as error:
                raise _unusable(self.file, f"has a damaged glyph ({_said(error)})") from error
            made = builder.done()
            if not np.isfinite(made.control).all():
                raise _unusable(self.file, "has a damaged glyph")
            self._outlines[number] = made
        return self._outlines[number]

    @cached_property
    def _pen_class(self) -> Any:
        from fontTools.pens.basePen import BasePen

        class Pen(BasePen):  # type: ignore[misc]  # fontTools has no types
            def __init__(self, glyphs: Any, builder: PathBuilder) -> None:
                super().__init__(glyphs)
                self.builder = builder

            def _moveTo(self, at: tuple[float, float]) -> None:  # noqa: N802  # the library's name
                self.builder.move(*at)

            def _lineTo(self, at: tuple[float, float]) -> None:  # noqa: N802  # the library's name
                self.builder.line(*at)

            def _curveToOne(  # noqa: N802  # the library's name
                self, a: tuple[float, float], b: tuple[float, float], at: tuple[float, float]
            ) -> None:
                self.builder.cubic(*a, *b, *at)

            def _closePath(self) -> None:  # noqa: N802  # the library's name
                self.builder.close()

            def _endPath(self) -> None:  # noqa: N802  # the library's name
                self.builder.close()

        return Pen


def renamed(file: FontFile, spellings: Sequence[str] = ()) -> bytes:
    """Give the font with the names, weight and style that the order gives it.

    A renderer that goes by what stands in the file then finds it under the artwork's names.

    :param spellings: how else the artwork spells the family
    :raises InputError: the file is no font that can be used
    :raises LibrariesMissing: there is nothing to read fonts with
    """
    Face(file)  # refuses what can't be used
    from fontTools.ttLib import TTFont, newTable

    font = TTFont(io.BytesIO(file.data), lazy=True)
    names = font["name"] = newTable("name")
    names.names = []
    family = " ".join(file.family.split())
    slanted = file.style != "normal"
    for number, text in ((1, family), (2, "Regular"), (4, family), (6, "Lettering")):
        names.setName(text, number, 3, 1, _ENGLISH)
    for language, spelling in enumerate(dict.fromkeys(spellings), _ENGLISH + 1):
        names.setName(spelling, 1, 3, 1, language)  # one name for each language
    if "OS/2" in font:
        metrics = font["OS/2"]
        metrics.usWeightClass, metrics.usWidthClass = file.weight, 5
        selection = metrics.fsSelection & ~(1 | 1 << 5 | 1 << 6 | 1 << 9)
        selection |= {"normal": 0, "italic": 1, "oblique": 1 << 9}[file.style]
        if metrics.version < 4:  # bit 9 has no meaning before
            metrics.version = 4
            for name in _LATER_METRICS:
                setattr(metrics, name, getattr(metrics, name, 0))
        metrics.fsSelection = selection
    head = font["head"]
    head.macStyle = (head.macStyle & ~3) | (2 if slanted else 0) | (1 if file.weight >= 600 else 0)
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def _unusable(file: FontFile, what: str) -> InputError:
    return InputError(
        what, where=file.name, do="name a plain TTF or OTF file, or convert the text to outlines"
    )


def _said(error: BaseException) -> str:
    lines = str(error).strip().splitlines()
    return lines[0][:100] if lines else type(error).__name__
