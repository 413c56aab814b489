"""What the plan's JSON says of drying: plain numbers and words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from prep.errors import Unanswered

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Ask, Job
    from prep_drying.answers import Drying, TopUp


def drying_document(job: Job, ask: Ask) -> dict[str, Any]:
    """Give climate, run, screens and what helps; ``drying`` is null with the reason where nobody tells."""
    try:
        from prep_drying.answers import Drying, Helps

        drying, helps = ask(Drying), ask(Helps)
    except (ModuleNotFoundError, Unanswered) as error:
        why = error.why if isinstance(error, Unanswered) else "no plugin tells"
        return {"drying": None, "drying_lacks": why}
    run = drying.run
    return {
        "drying": {
            "climate": list(drying.air.climate),
            "assumed": drying.air.assumed,
            "flux_kg_m2_h": _triple(drying.air.flux_kg_m2_h, 4),
            "film_c": _triple(drying.air.film_c, 1),
            "flooded": drying.flooded,
            "working": run.working,
            "fits": round(run.fits, 3),
            "to_shirt": drying.last_shirt,
            "says": [*drying.air.outside, *drying.says],
            "screens": [_screen(screen.key, drying) for screen in job.screens],
            "helps": [
                {"what": one.what, "fits": round(one.fits, 3), "costs": one.costs}
                for one in helps.helps
            ],
        }
    }


def _screen(key: str, drying: Drying) -> dict[str, Any]:
    one, idle = drying.run[key], drying.idle[key]
    return {
        "screen": key,
        "to_shirt": drying.run.part_of(key).last_shirt,
        "fits": round(one.fits, 3),
        "finest_mm": round(idle.finest_mm, 3),
        "idle_cleared_s": _triple(idle.finest.cleared_s, 0),
        "idle_flooded_s": _triple(idle.finest.flooded_s, 0),
        "pause_s": _triple(one.pause_s, 0),
        "load_g": round(one.load_g.value, 1),
        "top_ups": [_top_up(top_up) for top_up in one.top_ups],
        "wipe_before": one.wipe_before,
        "mist_from": None if one.mist_from is None else list(one.mist_from),
    }


def _top_up(one: TopUp) -> dict[str, Any]:
    """Give a top-up; ``every`` and ``until`` only where it is done again and again."""
    again: dict[str, Any] = {}
    if one.repeats is not None:
        again = {
            "every": one.repeats.every,
            "until": one.repeats.until,
            "last_grams": [round(g, 1) for g in one.repeats.last_g],
        }
    return {
        "before_shirt": list(one.shirt),
        "grams": [round(g, 1) for g in one.grams],
        "chance": round(one.chance, 3),
        **again,
    }


def _triple(estimate: Estimate, decimals: int) -> list[float]:
    """Give low, value and high."""
    return [round(v, decimals) for v in (estimate.low, estimate.value, estimate.high)]
