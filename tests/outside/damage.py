"""Damages real drawings at random: bytes, words, numbers, chunks."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

_NUMBER = re.compile(rb"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_TOKEN = re.compile(rb"[A-Za-z#][-A-Za-z0-9:]*|[0-9.]+|\S")
_EXTREMES = (
    *(b"0", b"-1", b"1e400", b"-1e400", b"1e38", b"1e-38", b"nan", b"inf", b"NaN", b"1e9", b"-0"),
    *(b"1e7", b"65536", b"4294967296", b"0.0000001", b"1.", b".", b"1e", b"--1", b"50%", b"3em"),
    *(b"9" * 40, b"1e-400", b"2147483648", b"1mm", b"1q", b"1foo"),
)
_WORDS = (
    *(b"<g>", b"</g>", b"<rect width='9' height='9'/>", b"<use href='#a'/>", b"<!--", b"-->"),
    *(b"<![CDATA[", b"]]>", b"&amp;", b"&x;", b"&#0;", b"\x00", b"\xff", b"\xef\xbb\xbf", b"'"),
    *(b'"', b" style='fill:red'", b" transform='scale(-1)'", b" display='none'", b" fill='none'"),
    *(b" stroke='red'", b"<svg>", b"<defs>", b"url(#a)", b"inherit", b"currentColor", b"z", b"m"),
    *(b"!important", b"<?xml?>", b"<style>*{fill:red}</style>", b"viewBox", b"#fff8", b"<text>x"),
)

Dice = random.Random


def _span(data: bytes, dice: Dice, longest: int) -> tuple[int, int]:
    at = dice.randrange(len(data))
    return at, min(len(data), at + dice.randint(1, longest))


def _flip(data: bytes, dice: Dice) -> bytes:
    at = dice.randrange(len(data))
    return data[:at] + bytes([data[at] ^ 1 << dice.randrange(8)]) + data[at + 1 :]


def _other(data: bytes, dice: Dice) -> bytes:
    at = dice.randrange(len(data))
    return data[:at] + bytes([dice.choice(b"0159-.eZzMmaA \"'<>/=#,;()%")]) + data[at + 1 :]


def _lose(data: bytes, dice: Dice) -> bytes:
    at, to = _span(data, dice, dice.choice((1, 8, 300)))
    return data[:at] + data[to:]


def _repeat(data: bytes, dice: Dice) -> bytes:
    at, to = _span(data, dice, dice.choice((4, 60, 600)))
    return data[:to] + data[at:to] * dice.choice((1, 1, 3)) + data[to:]


def _move(data: bytes, dice: Dice) -> bytes:
    at, to = _span(data, dice, 200)
    rest = data[:at] + data[to:]
    where = dice.randint(0, len(rest))
    return rest[:where] + data[at:to] + rest[where:]


def _cut(data: bytes, dice: Dice) -> bytes:
    return data[: dice.randrange(len(data))]


def _insert(data: bytes, dice: Dice) -> bytes:
    at = dice.randint(0, len(data))
    return data[:at] + dice.choice(_WORDS) + data[at:]


def _numbers(data: bytes, dice: Dice) -> bytes:
    found = list(_NUMBER.finditer(data))
    if not found:
        return data
    one = dice.choice(found)
    number = dice.choice((*_EXTREMES, *(b"%d" % dice.randint(-200, 2000) for _ in _EXTREMES)))
    return data[: one.start()] + number + data[one.end() :]


def _tokens(data: bytes, dice: Dice) -> bytes:
    found = list(_TOKEN.finditer(data))
    if len(found) < 2:
        return data
    first, second = sorted(dice.sample(found, 2), key=lambda one: one.start())
    return (
        data[: first.start()]
        + second[0]
        + data[first.end() : second.start()]
        + first[0]
        + data[second.end() :]
    )


_WAYS: tuple[Callable[[bytes, Dice], bytes], ...] = (
    *(_flip, _other, _lose, _repeat, _move, _insert),
    *(_numbers, _numbers, _numbers, _tokens, _tokens),
)


def damaged(data: bytes, dice: Dice) -> bytes:
    """Give a drawing with one to four faults; now and then it ends too soon."""
    for _ in range(dice.choice((1, 1, 2, 2, 3, 4))):
        way = _cut if dice.random() < 0.03 else dice.choice(_WAYS)
        data = way(data, dice) or b" "
    return data
