"""What is to be mixed of each ink of a job or an order: recipe, additives asked for, amount."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from prep.errors import SettingsError, Unanswered
from prep.palette import ink_names
from prep.screens import ink_kind
from prep.setups import expand
from prep_mix.batch import Batch, reckon
from prep_mix.pots import Potted, potted
from prep_mix.recipes import Discard, Mixable, Shelf, Wish
from prep_mix.retarder import in_already, said_by, wished
from prep_mix.settings import USUAL, MixColour, MixOrder, MixShop
from prep_mix.shares import NoDensity, NoInkLeft
from prep_mix.wording import Units, percent

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.shop import Shop
    from prep_ink.answers import InkToMix


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is asked for in an ink at one place.

    :param by: colour, and where it is printed
    :param wishes: additive's name -> wish, the order's own included
    """

    by: str
    wishes: Mapping[str, Wish]


@dataclass(frozen=True, slots=True)
class InkMix:
    """One ink, ready to weigh.

    :param screens: keys of the screens that print it, the first first
    :param batch: of one pot, pre-mixes taken where the balance asks for them
    :param pots: how many pots of which size; ``None``: the shop names none, or the volume isn't known
    :param no_pots: why the shop's pots can't be told, a sentence; empty where they are, or it names none
    :param in_already: what is reckoned with and taken to be in the ink, so that none is weighed; or empty
    """

    ink: str
    screens: tuple[str, ...]
    mixable: Mixable
    batch: Batch
    units: Units
    pots: Potted | None
    no_pots: str = ""
    in_already: str = ""

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
        colours = [screen.colour for screen in job.screens if screen.ink == ink]
        here = _asked(job, ink, colours[0], job.settings(MixColour, colours[0]), job.origins)
        _agreed(job, ink, (here, *_asked_elsewhere(job, ink)))
    found = (_mix(shelf, one, wanted.get(one.ink, ())) for one in _inks(ask) if one.to_mix_g > 0)
    return _heeded(found, [job])


def of_order(jobs: Sequence[Job], ask: Callable[[Job], Ask]) -> tuple[InkMix, ...]:
    """Give what to mix of each ink over all set-ups; see :func:`of_job`."""
    over_all, question = _answers()
    shelf = shelf_of(jobs[0])
    wanted: dict[str, tuple[Wish, ...]] = {}
    for ink in {screen.ink: None for job in jobs for screen in job.screens}:
        asked = [
            _asked(
                job,
                ink,
                colour,
                job.settings(MixColour, colour),
                job.origins,
                f", {job.setup.name}",
            )
            for job in jobs
            for colour in {screen.colour: None for screen in job.screens if screen.ink == ink}
        ]
        wanted[ink] = _agreed(jobs[0], ink, asked)
    forecasts: list[tuple[Job, Any]] = [(job, _answered(ask(job), question)) for job in jobs]
    found = (
        _mix(shelf, one, wanted.get(one.ink, ())) for one in over_all(forecasts) if one.to_mix_g > 0
    )
    return _heeded(found, jobs)


def shelf_of(job: Job) -> Shelf:
    """Give what the shop mixes from, checked.

    :raises SettingsError: a recipe of what isn't known, a name used twice, a volume without a density
    """
    shelf = Shelf(job.shop, job.settings(MixShop), job.origins)
    shelf.check()
    return shelf


def units_of(shop: Shop) -> Units:
    """Give how masses and volumes are written in a shop."""
    return Units(shop.balance.readability_g, shop.units == "inch")


def wishes_of(job: Job, ink: str) -> tuple[Wish, ...]:
    """Give the additives that the order asks for in an ink: a colour's own in place of the order's.

    :raises SettingsError: two colours of the ink ask for different ones, though it is mixed once
    """
    colours = {screen.colour: None for screen in job.screens if screen.ink == ink}
    asked = [
        _asked(job, ink, colour, job.settings(MixColour, colour), job.origins) for colour in colours
    ]
    return _agreed(job, ink, asked)


def _asked(
    job: Job,
    ink: str,
    colour: str,
    own: MixColour,
    origins: Mapping[str, str],
    of: str = "",
    place: str | None = None,
) -> _Asked:
    """Give what one colour asks for.

    :param of: words for where it is printed, empty for this set-up
    :param place: where another set-up prints it
    """

    def wish(name: str, share: float | str, table: str) -> Wish:
        where = origins.get(f"{table}.{name}") or origins.get(table, "order.toml")
        return Wish(name, share, f"{table}.{name}", where)

    whole = job.settings(MixOrder).additives
    wishes = {name: wish(name, share, "mix.additives") for name, share in whole.items()}
    table = f"colour.{colour}.mix.additives"
    wishes |= {name: wish(name, share, table) for name, share in own.additives.items()}
    reckoned_with = wished(job, ink, said_by(job, colour, place), wishes, origins)
    if reckoned_with is not None:
        wishes[reckoned_with.name] = reckoned_with
    return _Asked(f"{colour}{of}", wishes)


def _asked_elsewhere(job: Job, ink: str) -> Iterator[_Asked]:
    """Give what colours ask for that aren't on screens of this set-up, as far as the order names their ink.

    Colours that other set-ups print are known only where the order writes a table for them.
    """
    here = {screen.colour for screen in job.screens}
    setups = expand(job.order, dark_below=job.shop.dark_below)
    for setup in {setup.place: setup for setup in setups}.values():
        printed = [one for one in setup.colours if one.printed is not False and not one.print_as]
        names = ink_names([one.colour for one in printed], setup, job.shop)
        for colour, name in names.items():
            if name == ink and (setup.place != job.setup.place or colour not in here):
                table = job.chosen.get_at(MixColour, setup.place, colour)
                of = f" on the {setup.place}"
                yield _asked(job, ink, colour, table, {}, of, setup.place)


def _agreed(job: Job, ink: str, asked: Sequence[_Asked]) -> tuple[Wish, ...]:
    """Give what all ask for alike.

    :raises SettingsError: two ask for different things; the later, where it has a table of its own
    """
    mix = job.settings(MixShop)
    additives = {one.name: one for one in mix.additive}
    own = next((recipe.additives for recipe in mix.recipe if recipe.ink == ink), {})

    def share(one: _Asked, name: str) -> float | str:
        said = one.wishes[name].share if name in one.wishes else own.get(name, 0.0)
        usual = additives[name].usual if said == USUAL and name in additives else None
        return said if usual is None else usual

    for other in asked[1:]:
        for name in {**asked[0].wishes, **other.wishes}:
            if share(asked[0], name) != share(other, name):
                raise _two_ways(ink, name, asked[0], other, held=name in own)
    return tuple(asked[0].wishes.values()) if asked else ()


def _two_ways(ink: str, name: str, first: _Asked, second: _Asked, *, held: bool) -> SettingsError:
    told = [one.wishes[name] for one in (second, first) if name in one.wishes]
    blamed = next((wish for wish in told if wish.key.startswith("colour.")), told[0])
    return blamed.refused(
        f"{ink} is mixed once, and is asked for with different additives:"
        f" {_words(first, name, held)}, {_words(second, name, held)}",
        "ask for the same wherever it is printed, or name two inks",
    )


def _words(one: _Asked, name: str, held: bool) -> str:
    wish = one.wishes.get(name)
    if wish is None and held:
        return f"the recipe's {name} for {one.by}"
    if wish is None or wish.share == 0:
        return f"no {name} for {one.by}"
    share = wish.share if isinstance(wish.share, str) else percent(wish.share)
    return f"{share} of {name} for {one.by} ({wish.key})"


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
    units = units_of(shelf.shop)
    mix = shelf.mix
    try:

        def reckoned(grams: float, pots: int = 1) -> Batch:
            return reckon(
                mixable.mixture, grams, units.step_g, mix.dose_error, pre_mixed=True, pots=pots
            )

        batch, pots = reckoned(to_mix.to_mix_g), None
        if mix.pots and batch.volume_ml is not None:
            pots = potted(batch.volume_ml, mix.pots, mix.pot_full)
            if pots.count > 1:
                batch = reckoned(to_mix.to_mix_g / pots.count, pots.count)
    except NoDensity as error:
        raise _blamed(
            wishes, to_mix.ink, f"a volume can't be weighed: {error}", "state density in shop.toml"
        ) from error
    except NoInkLeft as error:
        raise _blamed(
            wishes, to_mix.ink, "its additives leave no room for the ink", "take less of them"
        ) from error
    no_pots = ""
    if mix.pots and pots is None:
        no_pots = f"Which pots it takes can't be told: {shelf.density_lacks(mixable.mixture)}."
    return InkMix(to_mix.ink, to_mix.screens, mixable, batch, units, pots, no_pots)


def _heeded(mixes: Iterable[InkMix], jobs: Sequence[Job]) -> tuple[InkMix, ...]:
    """Heed what the jobs say of inks: retarder taken to be in, discharge the shop need not list."""
    kinds = {s.ink: ink_kind(s, job.shop)[0] for job in jobs for s in job.screens}

    def heeded(mix: InkMix) -> InkMix:
        colours = ((job, s.colour) for job in jobs for s in job.screens if s.ink == mix.ink)
        said = next(filter(None, (said_by(job, colour) for job, colour in colours)), "")
        mix = replace(mix, in_already=in_already(said, (row.name for row in mix.batch.rows)))
        told = mix.mixable.discharges
        if kinds.get(mix.ink) != "discharge" or mix.ink in told:
            return mix
        return replace(mix, mixable=replace(mix.mixable, discharges=(mix.ink, *told)))

    return tuple(map(heeded, mixes))


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
