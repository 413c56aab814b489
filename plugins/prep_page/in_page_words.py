"""Sentences that were written for whoever types commands, as the page has them."""

from __future__ import annotations

import re
from collections.abc import Sequence

_WAYS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), words)
    for pattern, words in (
        (r"see prep log list for the numbers there are", "look under Log for those that are there"),
        (r"see prep log list for its number", "look under Log for its number"),
        (r"see prep log list for the runs", "look under Log for the runs"),
        (r"as prep log list shows", "as shown under Log"),
        (r"prep log list", "the page Log"),
        (r"name the log it was written from with --log, or write a new form with prep log form",
         "open the page anew and fill in its form"),
        (r"name another file with --log, or kept_in under", "name another file with kept_in under"),
        (r"\(--log, or (kept_in under \[log\] of shop\.toml)\)", r"(\1)"),
        (r",? copied by prep log export", ", copied by export under Log"),
        (r"take the # away before a line and write what was seen", "fill in what was seen"),
        (r"take the # away before what was read", "fill in what was read"),
        (r"install the plugin, or say --without \S+", "install the plugin"),
        (r"; to go on without it: --without [\w-]+", ""),
    )
)  # fmt: skip
_NO_DATE = re.compile(
    r"[Ii]nput should be a valid (?:date|datetime)\b[^;]*"
    r"|invalid (?:date|character) [^;]*in (?:day|month|year)[^;]*"
)
_NAMELESS = re.compile(r"^\s*:\s*")


def in_page_words(line: str) -> str:
    """Give a sentence with the page's own way in the place of a command's.

    >>> in_page_words("there is no entry 7; see prep log list for the numbers there are")
    'there is no entry 7; look under Log for those that are there'
    >>> in_page_words(": nothing is filled in; take the # away before a line and write what was seen")
    'nothing is filled in; fill in what was seen'
    """
    for pattern, words in _WAYS:
        line = pattern.sub(words, line)
    line = _NO_DATE.sub("there is no such day", line)
    if "no such day" in line and "2026-03-04" not in line:
        line = line.split("no such day", 1)[0] + "no such day; write it like 2026-03-04"
    return _NAMELESS.sub("", line)


def all_in_page_words(lines: Sequence[str]) -> list[str]:
    """Give lines so."""
    return [in_page_words(line) for line in lines]
