"""What is to be mixed of each ink of a job or an order: recipe, additives asked for, amount."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from prep.errors import SettingsError, Unanswered
from prep.setups import expand
from prep_mix.batch import Batch, reckon
from prep_mix.pots import Potted, potted
from prep_mix.recipes import Discard, Mixable, Shelf, Wish
from prep_mix.settings import MixColour, MixOrder, MixShop
from prep_mix.shares import NoDensity, NoInkLeft
from prep_mix.wording import Units

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep_ink.answers import InkToMix


@dataclass(frozen=True, slots=True)
class InkMix:
    """One ink, ready to weigh.

    :param screens: keys of the screens that print it, the first first
    :param batch: of one pot, pre-mixes taken where the balance asks for them
    :param pots: how many pots of which size; ``None``: the shop names none, or the volume isn't known
    """

    ink: str
    screens: tuple[str, ...]
    mixable: Mixable
    batch: Batch
    units: Units
    pots: Potted | None

    @property
    def count(self) -> int:
        """Batches alike that are weighed."""
        return 1 if self.pots is None else self.pots.count

    @property
    def plain(self) -> bool:
        """Whether it is an ink as it comes, with nothing to weigh into it."""
        return len(self.batch.rows) == 1


def mixed_at_once(job: Job) -> bool:
    """Say whether the order has several set-ups, so that its inks are mixed once for all of them."""
    return len(expand(job.order, dark_below=job.shop.dark_below)) > 1


def of_job(job: Job, ask: Ask) -> tuple[InkMix, ...]:
    """Give what to mix of each ink of a set-up.

    :raises Unanswered: nobody says how much
    :raises SettingsError: an additive that isn't known or above its maximum, or asked for in two ways
    """
    shelf = shelf_of(job)
    wanted = {ink: wishes_of(job, ink) for ink in {screen.ink: None for screen in job.screens}}
    for ink, wishes in wanted.items():
        shelf.mixable(ink, wishes)  # refused even where nobody says how much
    return tuple(
        _mix(shelf, one, wanted.get(one.ink, ())) for one in _inks(ask) if one.to_mix_g > 0
    )


def of_order(jobs: Sequence[Job], ask: Callable[[Job], Ask]) -> tuple[InkMix, ...]:
    """Give what to mix of each ink over all set-ups; see :func:`of_job`."""
    over_all, question = _answers()
    shelf = shelf_of(jobs[0])
    wanted: dict[str, tuple[Wish, ...]] = {}
    for job in jobs:
        for ink in {screen.ink: None for screen in job.screens}:
            wishes = wishes_of(job, ink)
            before = wanted.setdefault(ink, wishes)
            if _shares(before) != _shares(wishes):
                raise _two_ways(ink, (*wishes, *before)[0])
    forecasts: list[tuple[Job, Any]] = [(job, _answered(ask(job), question)) for job in jobs]
    return tuple(
        _mix(shelf, one, wanted.get(one.ink, ())) for one in over_all(forecasts) if one.to_mix_g > 0
    )


def shelf_of(job: Job) -> Shelf:
    """Give what the shop mixes from, checked.

    :raises SettingsError: a recipe of what isn't known, a name used twice, a volume without a density
    """
    shelf = Shelf(job.shop, job.settings(MixShop), job.chosen.origins)
    shelf.check()
    return shelf


def wishes_of(job: Job, ink: str) -> tuple[Wish, ...]:
    """Give the additives that the order asks for in an ink: a colour's own in place of the order's.

    :raises SettingsError: two colours of the ink ask for different ones, though it is mixed once
    """
    origins = job.chosen.origins

    def wish(name: str, share: float | str, table: str) -> Wish:
        where = origins.get(table, "order.toml")
        return Wish(name, share, f"{table}.{name}", where)

    whole = {
        name: wish(name, share, "mix.additives")
        for name, share in job.settings(MixOrder).additives.items()
    }
    own: dict[str, Wish] | None = None
    for colour in {screen.colour: None for screen in job.screens if screen.ink == ink}:
        said = {
            name: wish(name, share, f"colour.{colour}.mix.additives")
            for name, share in job.settings(MixColour, colour).additives.items()
        }
        if not said:
            continue
        if own is not None and _shares(own.values()) != _shares(said.values()):
            raise _two_ways(ink, next(iter(said.values())))
        own = said
    return tuple((whole | (own or {})).values())


def _shares(wishes: Iterable[Wish]) -> dict[str, float | str]:
    return {wish.name: wish.share for wish in wishes}


def _two_ways(ink: str, wish: Wish) -> SettingsError:
    return wish.refused(
        f"{ink} is mixed once, and is asked for with different additives",
        "ask for the same wherever it is printed, or name two inks",
    )


def _answers() -> tuple[Callable[..., Sequence[InkToMix]], type[Any]]:
    try:
        from prep_ink.answers import InkOnScreens, over_all
    except ImportError as error:
        raise Unanswered("how much to mix isn't known, as no plugin reckons ink") from error
    return over_all, InkOnScreens


def _inks(ask: Ask) -> Sequence[InkToMix]:
    _, question = _answers()
    return _answered(ask, question).inks  # type: ignore[no-any-return]  # prep_ink may be missing


def _answered(ask: Ask, question: type[Any]) -> Any:
    try:
        return ask(question)
    except Unanswered as error:
        raise Unanswered(f"how much to mix isn't known, as {error.why}") from error


def _mix(shelf: Shelf, to_mix: InkToMix, wishes: Sequence[Wish]) -> InkMix:
    mixable = shelf.mixable(to_mix.ink, wishes, usual_density=float(to_mix.density_g_per_ml.value))
    mixable = _thrown_away(mixable, to_mix)
    units = Units(shelf.shop.balance.readability_g, shelf.shop.units == "inch")
    mix = shelf.mix
    try:

        def reckoned(grams: float) -> Batch:
            return reckon(mixable.mixture, grams, units.step_g, mix.dose_error, pre_mixed=True)

        batch, pots = reckoned(to_mix.to_mix_g), None
        if mix.pots and batch.volume_ml is not None:
            pots = potted(batch.volume_ml, mix.pots, mix.pot_full)
            if pots.count > 1:
                batch = reckoned(to_mix.to_mix_g / pots.count)
    except NoDensity as error:
        raise _blamed(
            wishes, to_mix.ink, f"a volume can't be weighed: {error}", "state density in shop.toml"
        ) from error
    except NoInkLeft as error:
        raise _blamed(
            wishes, to_mix.ink, "its additives leave no room for the ink", "take less of them"
        ) from error
    return InkMix(to_mix.ink, to_mix.screens, mixable, batch, units, pots)


def _thrown_away(mixable: Mixable, to_mix: InkToMix) -> Mixable:
    """Heed the pot life of the ink's kind, which the shop need not have stated."""
    life = to_mix.pot_life_s
    if life is None or (mixable.discard is not None and mixable.discard.after_s <= life):
        return mixable
    return replace(mixable, discard=Discard(to_mix.ink, life))


def _blamed(wishes: Sequence[Wish], ink: str, problem: str, do: str) -> SettingsError:
    if wishes:
        return wishes[0].refused(f"{ink}: {problem}", do)
    return SettingsError(f"the recipe of {ink}: {problem}", where="shop.toml", do=do)
