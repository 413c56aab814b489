"""The order of printing by rule, and why each screen stands where it stands."""

from __future__ import annotations

from collections.abc import Sequence as Several
from dataclasses import dataclass

from prep.colour_difference import lab_of
from prep.frames import Printed, frame_by_frame, never_turned
from prep.job import Job
from prep.phrases import several
from prep.screens import PrintOrder, Screen, ink_kind
from prep_sequence.naming import named, refused
from prep_sequence.settings import Sequence

BASE = "It lies under the colours."
DISCHARGE = "Discharge works on the dye of the bare shirt, so no other ink may lie there before it."
AFTER_DISCHARGE = "It takes no dye out, so it goes on after the discharge."
ALONE = "The one colour to print."
ASKED = "The order asks for it."
AFTER_ASKED = "After those that the order names."
DISCHARGE_AFTER_ASKED = (
    "After those that the order names; first of the rest, as it works on the dye of the shirt."
)
DARKEST = "Darkest, so it covers the edges of all before it."
DARKEST_AFTER_ASKED = "Darkest of those that the order doesn't name, so it covers their edges."


@dataclass(frozen=True, slots=True)
class Ranked:
    """What the rule goes by.

    :param lightness: CIE L*
    :param painted: place in the artwork's paint order, 0 = bottom
    """

    key: str
    ink: str
    base: bool
    discharge: bool
    lightness: float
    painted: int


@dataclass(frozen=True, slots=True)
class Ruled:
    """Where the rule puts a screen.

    :param follows: key of a screen that the reason says comes before it
    """

    key: str
    reason: str
    follows: str | None = None


def by_rule(screens: Several[Ranked], as_light: float) -> list[Ruled]:
    """Put screens in order: base, discharge, then light before dark, and give each one's reason.

    Light before dark, for the earlier is spread under the later where they meet, and dark ink covers
    light ink better than light ink covers dark (common practice, no source). Where colours are as
    light as each other the one painted below goes first.

    :param as_light: difference in CIE L* from which one counts as lighter

    >>> red = Ranked("r", "red", False, False, 48.0, 1)
    >>> cream = Ranked("c", "cream", False, False, 92.0, 2)
    >>> by_rule([red, cream], 5.0)[0].reason
    'Lighter than red: dark ink covers the edge of light ink.'
    """
    bases = [s for s in screens if s.base]
    discharging = [s for s in screens if s.discharge and not s.base]
    others = sorted(
        (s for s in screens if not s.base and not s.discharge),
        key=lambda s: (-s.lightness, s.painted, s.key),
    )
    groups: list[list[Ranked]] = []
    for screen in others:
        if groups and groups[-1][0].lightness - screen.lightness < as_light:
            groups[-1].append(screen)
        else:
            groups.append([screen])
    made = [Ruled(s.key, BASE) for s in sorted(bases, key=lambda s: s.key)]
    made += [Ruled(s.key, DISCHARGE) for s in sorted(discharging, key=lambda s: (s.painted, s.key))]
    for number, group in enumerate(groups):
        group.sort(key=lambda s: (s.painted, s.key))
        for place, screen in enumerate(group):
            follows = None
            if place + 1 < len(group):
                below = group[place + 1].ink
                reason = f"About as light as {below}, and painted below it in the artwork."
            elif number + 1 < len(groups):
                darker = groups[number + 1][0].ink
                reason = f"Lighter than {darker}: dark ink covers the edge of light ink."
            elif place:
                follows = group[place - 1].key
                reason = f"About as light as {group[place - 1].ink}, and painted above it."
            elif len(others) == 1:
                reason = ALONE if not discharging else AFTER_DISCHARGE
            else:
                reason = DARKEST
            made.append(Ruled(screen.key, reason, follows))
    return made


def order_of(job: Job) -> PrintOrder:
    """Give the order of printing: what the order names first, the rest by rule.

    :raises SettingsError: it names a screen that isn't there, or a colour before its base
    """
    return order_among(job, job.screens)


def order_among(job: Job, screens: Several[Screen], *, trial: bool = False) -> PrintOrder:
    """Give the order of some screens of a job; see :func:`order_of`.

    :param trial: they may never be made, so that nothing is refused
    """
    wanted = named(job, "order", screens, trial=trial)
    # told before anything is made
    flashed = named(job, "flash_after", screens, trial=trial)
    spared = named(job, "no_flash_after", screens, trial=trial)
    if both := [screen for screen in flashed if screen in spared and not trial]:
        raise refused(
            job,
            "no_flash_after",
            f"it names {both[0].ink}, and so does flash_after; take it out of one of them",
        )
    keys = [screen.key for screen in wanted]
    as_light = job.settings(Sequence).as_light
    ruled = by_rule([_ranked(job, s) for s in screens if s.key not in keys], as_light)
    reasons = {one.key: one.reason for one in ruled}
    bases = [s for s in screens if s.does != "colour"]
    for base in () if trial else bases:
        if base.key in keys and any(s.does == "colour" for s in wanted[: keys.index(base.key)]):
            over = wanted[0].ink
            raise refused(
                job, "order", f"{base.key} is a base and would cover {over}; name it first"
            )
    first = [s.key for s in bases if s.key not in keys]
    rest = [one.key for one in ruled if one.key not in first]
    reasons |= {s.key: ASKED if s.does == "colour" else BASE for s in wanted}
    if any(s.does == "colour" for s in wanted):
        reasons |= {key: _after_asked(job, reasons[key], key, wanted, screens) for key in rest}
    by_key = {screen.key: screen for screen in screens}
    films = {screen.key: screen.film for screen in screens}
    order = (*first, *_frame_by_frame(job, [by_key[key] for key in (*keys, *rest)], keys))
    place = {one.key: number for number, one in enumerate(ruled)}
    follows = {one.key: one.follows for one in ruled}
    for number, key in enumerate(order):
        if reasons[key] in (ASKED, BASE):
            continue
        done = [by_key[other] for other in order[:number]]
        if done and done[-1].film == films[key]:
            reasons[key] = _in_one_frame(done[-1], by_key[key])
        elif turned := [s for s in done if place.get(s.key, -1) > place[key]]:
            reasons[key] = _for_a_frame(by_key[key], turned, screens)
        elif (before := follows[key]) is not None and before not in order[:number]:
            late = by_key[before]
            mates = [other.ink for other in screens if other.film == late.film and other != late]
            reasons[key] = (
                f"Before {late.ink}, which is printed in one frame with {several(mates)}."
            )
    return PrintOrder(
        keys=order,
        reason=""
        if len(order) < 2
        else _reason(screens, asked=bool(wanted), moved=order != (*first, *keys, *rest)),
        reasons={key: reasons[key] for key in order} if len(order) > 1 else {},
        passes=_passes(job, screens),
    )


def _after_asked(
    job: Job, reason: str, key: str, wanted: Several[Screen], screens: Several[Screen]
) -> str:
    """Say why a screen stands where it stands among those that the order doesn't name."""
    if reason == DISCHARGE:
        return DISCHARGE_AFTER_ASKED
    if reason == ALONE:
        return AFTER_ASKED
    if reason == DARKEST:
        own = next(_ranked(job, s).lightness for s in screens if s.key == key)
        if any(_ranked(job, s).lightness <= own for s in wanted if s.does == "colour"):
            return DARKEST_AFTER_ASKED
    return reason


def _ranked(job: Job, screen: Screen) -> Ranked:
    painted = {region.colour: region.painted for region in job.design}
    return Ranked(
        key=screen.key,
        ink=screen.ink,
        base=screen.does != "colour",
        discharge=ink_kind(screen, job.shop)[0] == "discharge",
        lightness=float(lab_of(screen.colour)[0]),
        painted=painted.get(screen.colour, len(painted)),
    )


def _passes(job: Job, screens: Several[Screen]) -> dict[str, int]:
    """Give opaque white on dark shirts its passes, where the order states none."""
    if job.setup.shade != "dark":
        return {}
    stated = {choice.colour for choice in job.setup.colours if choice.passes is not None}
    passes = job.settings(Sequence).white_on_dark
    return {
        s.key: passes
        for s in screens
        if ink_kind(s, job.shop)[0] == "opaque white" and s.colour not in stated and s.passes == 1
    }


def _frame_by_frame(job: Job, screens: Several[Screen], asked: Several[str]) -> tuple[str, ...]:
    """Let screens of one film follow each other, so that its frame comes down once.

    What must not be printed the other way round stays as it is; where that can't be, light no longer
    goes before dark.
    """
    films = {screen.key: screen.film for screen in screens}
    ranked = [_ranked(job, screen) for screen in screens]
    printed = [
        Printed(s.key, s.region, one.lightness, s.key in asked, one.discharge)
        for s, one in zip(screens, ranked, strict=True)
    ]
    keys = [screen.key for screen in screens]
    kept = never_turned(printed, job.settings(Sequence).as_light)
    order = frame_by_frame(keys, films, kept) or frame_by_frame(
        keys, films, [pair for pair in kept if pair[0] in asked]
    )
    if order is None:
        raise refused(job, "order", _torn(screens, asked))
    return order


def _torn(screens: Several[Screen], asked: Several[str]) -> str:
    """Say which frame would come down twice if screens were printed as asked."""
    for place, screen in enumerate(screens):
        later = [other for other in screens[place + 1 :] if other.film == screen.film]
        if screen.key in asked and later and screens[place + 1].film != screen.film:
            return (
                f"{screen.ink} and {later[0].ink} are printed through one film, and other screens come"
                " between; name them one right after the other, or print them another way"
            )
    raise AssertionError("screens of one film lie apart only where others come between")


def _in_one_frame(before: Screen, after: Screen) -> str:
    if before.region.intersects(after.region):
        return f"Through the film of {before.ink}, unmoved: scrape and wash that ink out first."
    return f"In one frame with {before.ink}, and printed with it."


def _for_a_frame(screen: Screen, turned: Several[Screen], screens: Several[Screen]) -> str:
    """Say why a screen comes after some that would follow it by rule, were it not for shared frames."""
    if mates := [other.ink for other in screens if other.film == screen.film and other != screen]:
        return f"In one frame with {several(mates)}, and so printed as late as that."
    moved = next((s for s in turned if sum(o.film == s.film for o in screens) > 1), turned[0])
    mates = [other.ink for other in screens if other.film == moved.film and other != moved]
    return f"After {moved.ink}, which is printed in one frame with {several(mates)}."


def _reason(screens: Several[Screen], *, asked: bool, moved: bool) -> str:
    if asked:
        return "Printed in the order that order.toml asks for."
    if any(screen.does != "colour" for screen in screens):
        rule = "The base is printed first, then light colours before dark ones"
    else:
        rule = "Light colours are printed before dark ones"
    return f"{rule}, as far as shared frames let them." if moved else f"{rule}."
