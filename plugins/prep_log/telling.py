"""What an entry says, in words: for lists, for the page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from prep.tables import measured_source
from prep_log import entries, understood
from prep_log.entries import Run
from prep_log.learnt import Told, Usual, figures, in_words
from prep_log.store import Entry, Figure, Heading

_READ: Mapping[str, str] = {
    "strip": "strips",
    "island": "islands",
    "island_area": "areas of islands",
    "stroke": "strokes",
    "gap": "gaps",
    "corner_lifted": "corners that lifted",
    "corner_sharp": "corners that came out sharp",
}


def of_what(figure: Figure) -> str:
    """Say what a figure is of: a screen with its ink, an ink over all screens, a set-up."""
    if figure.screen:
        return f"{figure.ink} ({figure.setup}, {figure.screen})"
    return figure.ink or figure.setup


def named_reading(of: str) -> str:
    """Say what a reading is of, in a list."""
    return f"reading: {_READ.get(of, of.replace('_', ' '))}" if of else "reading"


def of_what_in(figure: Figure, run: Run) -> str:
    """Say the same in words that don't need the keys: a screen's only where its ink is on several."""
    setup = next((one for one in run.setups if one.key == figure.setup), None)
    if setup is None:
        return of_what(figure)
    if not figure.screen:
        return setup.name
    alike = [screen for screen in setup.screens if screen.ink == figure.ink]
    return f"{figure.ink}{f', {figure.screen}' if len(alike) > 1 else ''}, {setup.name}"


def value_of(figure: Figure) -> str:
    """Write its value with its unit; a share in per cent."""
    return _with_unit(f"{_counted(figure, figure.value)}", figure)


def _counted(figure: Figure, value: float) -> str:
    return f"{100.0 * value:.3g}" if figure.unit == "share" else f"{value:.4g}"


def _with_unit(text: str, figure: Figure) -> str:
    unit = "%" if figure.unit == "share" else figure.unit
    return f"{text} {unit}" if unit else text


def range_of(figure: Figure) -> str:
    """Write what it lies between eight times in ten; empty where nothing is said of that."""
    if figure.low is None or figure.high is None:
        return ""
    return f"{_counted(figure, figure.low)} – {_counted(figure, figure.high)}"


def corrected(heading: Heading) -> str:
    """Say how often an entry was corrected; empty = never."""
    times = heading.times - 1
    return ("", "corrected")[times] if times < 2 else f"corrected {times} times"


def words_of(entry: Entry) -> Iterator[str]:
    """Give what an entry says besides its figures, lines."""
    trouble = understood.trouble(entry)
    if trouble:
        yield f"isn't understood, and isn't used: {trouble}"
        return
    if entry.kind == "run":
        run = entries.run_of(entry.name, entry.day, entry.body)
        yield f"predicted by Firstpull {run.program}"
        for setup in run.setups:
            yield f"{setup.name}: {Path(setup.artwork).name}, {setup.shirts} shirts"
            for screen in setup.screens:
                stencil = f", stencil {screen.stencil}" if screen.stencil else ""
                kept = " (kept)" if screen.kept else ""
                yield f"  {screen.ink}: mesh {screen.mesh}, {screen.passes} ×{stencil}{kept}"
        yield from run.lacking
    elif entry.kind == "seen":
        seen = entries.seen_of(entry.name, entry.day, entry.body)
        for place in seen.filled_in:
            since = "" if place.from_shirt is None else f", from shirt {place.from_shirt} on"
            yield f"filled in on {place.screen}: {place.where}{since}"
        for weighed in seen.shirts:
            yield (
                f"weighed at {weighed.screen}: {weighed.shirts} shirts, {weighed.before_g:g} g before and"
                f" {weighed.after_g:g} g after"
            )
        if seen.air:
            yield f"room: {seen.air}"
        if seen.wash_test:
            yield f"wash test: {seen.wash_test}"
        yield from seen.notes.splitlines()
        yield from (f"photo: {photo}" for photo in seen.photos)
    elif entry.kind == "note":
        yield from entries.note_of(entry.name, entry.day, entry.body).text.splitlines()
    else:
        yield from _words_of_reading(entry.body)


def _words_of_reading(body: Mapping[str, Any]) -> Iterator[str]:
    """Give what was read, lines: steps by their sizes, all else by its name."""
    for key, value in body.items():
        name = key.replace("_", " ")
        if key == "typed" or value in (None, "", {}):
            continue
        if key == "rows":
            yield f"prints read: {len(value)}"
            continue
        if key == "steps":
            for step in value:
                counted = step.get("held", step.get("printed"))
                size = f"{step['wait_s'] / 60:g} min" if "wait_s" in step else f"{step['size']:g}"
                yield f"{size}: {counted} of {step['tried']}"
        elif isinstance(value, Mapping):
            yield f"{name}: {', '.join(f'{k} {_plain(v)}' for k, v in value.items())}"
        else:
            yield f"{name}: {_plain(value)}"


def _plain(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.6g}"
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def learnt_since(before: Iterable[Told], now: Iterable[Told], usual: Usual) -> tuple[str, ...]:
    """Say which figures are others than they were, a sentence each.

    :param before: readings that were known then, oldest first; ``now`` likewise
    """
    known = figures(before, usual)
    return tuple(
        f"Learnt since: {table}.{key}, {in_words(figure)},"
        f" {measured_source(figure['measured_on'], int(figure['n']))}."
        for table, keys in figures(now, usual).items()
        for key, figure in keys.items()
        if key != "measured_in" and figure != known.get(table, {}).get(key)
    )
