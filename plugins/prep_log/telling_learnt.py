"""What the readings say, in words: each limit and figure before and now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from prep_log.learnt import (
    LADDERS,
    WAITS,
    Told,
    Usual,
    corners,
    curves,
    figures,
    in_words,
    transfer_groups,
)
from prep_log.posterior import Belief

HEAD = ("what", "usual", "here", "measured on", "n")


def learnt_rows(
    read: Iterable[Told], of: Usual, units: str = "metric"
) -> tuple[tuple[str, ...], ...]:
    """Give a row of texts under :data:`HEAD` for each figure that readings put in place of a guess.

    Each figure is told with what it lies between eight times in ten.

    :param read: oldest first
    :param units: ``metric`` or ``inch``, that limits of details are written in
    """
    every = list(read)
    before, fitted = _before(of, units), curves(every, of)
    rows = []
    for table, keys in figures(every, of).items():
        for key, figure in keys.items():
            if key == "measured_in":
                continue
            here = in_words(figure)
            if table == "fill_in" and key in fitted:
                curve, unit = fitted[key], LADDERS[key]
                here = (
                    f"at risk below {_ranged(curve.safe, unit, units)},"
                    f" fails below {_ranged(curve.half, unit, units)}"
                )
            if key in WAITS.values():
                here = "{1} min ({0} min to {2} min)".format(
                    *(_minutes(figure[one]) for one in ("low", "value", "high"))
                )
            elif (table, key) == ("drying", "weighed"):
                here = _flux(figure)
            elif (table, key) == ("ink", "transfer") and (of_shirts := transfer_groups(every)) > 1:
                here += (
                    f"; weighed on {of_shirts} unlike in mesh, ink or strokes, and as wide as a next one"
                    " may differ from them"
                )
            when = str(figure["measured_on"])
            rows.append(
                (f"{table}.{key}", before.get((table, key), ""), here, when, str(figure["n"]))
            )
    for key, (tips, read_on) in corners(every).items():
        low, half, high = tips.half.low, tips.half.value, tips.half.high
        here = f"half from {half:.2g}° ({low:.2g}° to {high:.2g}°) on; no limit rests on it"
        rows.append(
            (key.replace("_", " "), "", here, str(read_on["measured_on"]), str(read_on["n"]))
        )
    return tuple(rows)


def _before(of: Usual, units: str) -> dict[tuple[str, str], str]:
    """Give what held before, in words."""
    transfer, flux = of.transfer, of.weighed_kg_m2_h
    known = {
        ("ink", "transfer"): f"{transfer.value:g} ({transfer.low:g} to {transfer.high:g})",
        ("drying", "weighed"): f"{flux.value:g} ({flux.low:g} to {flux.high:g}) kg/(m² h)",
    }
    known |= {("drying", key): f"{wait / 60:g} min" for key, wait in of.waits_s.items()}
    return known | {
        ("fill_in", key): ", ".join(
            f"{words} {_written(size, LADDERS[key], units)}"
            for words, size in zip(("at risk below", "fails below"), limits, strict=True)
        )
        for key, limits in of.limits.items()
    }


def _minutes(text: str) -> str:
    """Give seconds, as shop.toml writes them, in minutes.

    >>> _minutes("491 s")
    '8.2'
    """
    return f"{float(text.removesuffix(' s')) / 60.0:.2g}"


def _flux(figure: Mapping[str, str]) -> str:
    """Give what a screen loses, from what it lost.

    >>> _flux({"loss": "1.8 g", "area": "120000 mm2", "after": "600 s", "off": "20 %"})
    '0.09 (0.072 to 0.11) kg/(m² h)'
    """
    grams, mm2, seconds, off = (
        float(figure[key].split()[0]) for key in ("loss", "area", "after", "off")
    )
    value = grams / 1e3 / (mm2 / 1e6) / (seconds / 3600.0)
    low, high = (value * (1.0 + sign * off / 100.0) for sign in (-1.0, 1.0))
    return f"{value:.2g} ({low:.2g} to {high:.2g}) kg/(m² h)"


def _ranged(found: Belief, unit: str, units: str) -> str:
    low, value, high = (
        _written(size, unit, units) for size in (found.low, found.value, found.high)
    )
    return f"{value} ({low} to {high})"


def _written(size: float, unit: str, units: str) -> str:
    """Write a size or an area.

    >>> _written(0.512, "mm", "metric"), _written(0.512, "mm", "inch"), _written(4.1, "mm2", "inch")
    ('0.51 mm', '0.020 in', '0.0064 in²')
    """
    if units != "inch":
        text = f"{size:.2f}".rstrip("0").rstrip(".")
        return f"{text} {unit.replace('mm2', 'mm²')}"
    return f"{size / 25.4**2:.4f} in²" if unit == "mm2" else f"{size / 25.4:.3f} in"
