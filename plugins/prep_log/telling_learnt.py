"""What the readings say, in words: each limit and figure before and now."""

from __future__ import annotations

from collections.abc import Iterable

from prep_log.learnt import LADDERS, Told, Usual, curves, figures, in_words

HEAD = ("what", "usual", "here", "measured on", "n")


def learnt_rows(read: Iterable[Told], of: Usual) -> tuple[tuple[str, ...], ...]:
    """Give a row of texts under :data:`HEAD` for each figure that readings put in place of a guess.

    Each figure is told with what it lies between eight times in ten.

    :param read: oldest first
    """
    every = list(read)
    before, fitted = _before(of), curves(every, of)
    rows = []
    for table, keys in figures(every, of).items():
        for key, figure in keys.items():
            if key == "measured_in":
                continue
            here = in_words(figure)
            if table == "fill_in" and key in fitted:
                curve, unit = fitted[key], LADDERS[key].replace("mm2", "mm²")
                here = (
                    f"at risk below {curve.safe.value:.2g} ({curve.safe.low:.2g} to {curve.safe.high:.2g})"
                    f" {unit}, fails below {curve.half.value:.2g} ({curve.half.low:.2g} to"
                    f" {curve.half.high:.2g}) {unit}"
                )
            when = str(figure["measured_on"])
            rows.append(
                (f"{table}.{key}", before.get((table, key), ""), here, when, str(figure["n"]))
            )
    return tuple(rows)


def _before(of: Usual) -> dict[tuple[str, str], str]:
    """Give what held before, in words."""
    transfer, flux = of.transfer, of.weighed_kg_m2_h
    known = {
        ("ink", "transfer"): f"{transfer.value:g} ({transfer.low:g} to {transfer.high:g})",
        ("drying", "weighed"): f"{flux.value:g} ({flux.low:g} to {flux.high:g}) kg/(m² h)",
    }
    known |= {("drying", key): f"{wait / 60:g} min" for key, wait in of.waits_s.items()}
    return known | {("fill_in", key): f"half at {size:.2g}" for key, size in of.halves.items()}
