"""From the shop's recipes, components and additives to a mixture, all of it known and within maxima."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import SequenceMatcher

from prep.errors import SettingsError
from prep.phrases import several
from prep.refusals import nearest
from prep.shop import Ink as ListedInk
from prep.shop import Shop
from prep_mix.batch import Added, Mixture, Part, by_volume, density_of
from prep_mix.settings import USUAL, Additive, MixShop, Recipe, known_additives
from prep_mix.shares import By, Dosed, Ink

DENSITIES_DIFFER = 0.1
"""A stated density may differ by so much from that of the parts: air stirred in, rounding. Our choice."""


@dataclass(frozen=True, slots=True)
class Wish:
    """An additive that is asked for, and where.

    :param share: ``"usual"`` for the shop's usual one
    :param key: setting it stands in, like ``mix.additives``; empty for an option of a command
    :param where: layer or option it came from
    :param on_top: it is added to what the recipe holds of it, in whose place it stands otherwise
    """

    name: str
    share: float | str
    key: str
    where: str
    on_top: bool = False

    def refused(self, problem: str, do: str) -> SettingsError:
        """Make the one line that says what is wrong with it."""
        said = f"{self.key}: {problem}" if self.key else problem
        return SettingsError(said, where=self.where, do=do)


@dataclass(frozen=True, slots=True)
class Discard:
    """Why a mix is thrown away, and when.

    :param since: part of it that is mixed before, and from whose mixing the time runs; empty: from its own
    """

    name: str
    after_s: float
    since: str = ""


@dataclass(frozen=True, slots=True)
class Mixable:
    """A mixture as the shop makes it.

    :param written: it is a recipe of the shop, or was given by its parts; else an ink as it comes
    :param by: what a recipe's parts are measured by
    :param discard: the shortest time after which it is thrown away; ``None``: it keeps
    :param reacts: activators and cross-linkers in it, like ``cross-linker`` or ``cross-linker in black``
    :param spoils: names of what is weighed that starts a reaction or holds what does
    :param discharges: names of discharge inks in it
    :param density_assumed: the ink's density is the usual one of its kind
    :param density_stated: the ink's density stands beside its name in the shop's list
    :param replaced: name, share by the recipe, share asked for in its place; where these differ
    """

    mixture: Mixture
    written: bool
    by: By = "mass"
    discard: Discard | None = None
    reacts: tuple[str, ...] = ()
    spoils: frozenset[str] = frozenset()
    discharges: tuple[str, ...] = ()
    density_assumed: bool = False
    density_stated: bool = False
    replaced: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Shelf:
    """What the shop mixes from.

    :param origins: key of a setting, like ``shop.mix.pots`` -> layer it came from
    """

    shop: Shop
    mix: MixShop
    origins: Mapping[str, str] = field(default_factory=dict)

    def check(self) -> None:
        """Check what ``[mix]`` can't see by itself: the shop's list of inks.

        :raises SettingsError: a part that isn't known, a name used twice, a volume without a density
        """
        listed = [ink.name for ink in self.shop.inks]
        for number, one in enumerate(self.mix.component):
            if one.name in listed:
                raise self._refused(
                    f"mix.component[{number + 1}]",
                    "name",
                    f'"{one.name}" stands under [[inks]] too',
                    "keep it there",
                )
        for number, additive in enumerate(self.mix.additive):
            if additive.name in listed:
                raise self._refused(
                    f"mix.additive[{number + 1}]",
                    "name",
                    f'"{additive.name}" stands under [[inks]] too',
                    "give one of them another name",
                )
        for number, recipe in enumerate(self.mix.recipe):
            self._check_recipe(f"mix.recipe[{number + 1}]", recipe, listed)

    def _check_recipe(self, key: str, recipe: Recipe, listed: Sequence[str]) -> None:
        if listed and recipe.ink not in listed:
            raise self._refused(
                key,
                "ink",
                f'the shop lists inks, and no "{recipe.ink}"',
                f"{instead(recipe.ink, listed)}; or add it under [[inks]]",
            )
        ink = self.shop.listed_ink(recipe.ink)
        for name, share in recipe.additives.items():
            additive = self.additive(name)
            reacts = additive is not None and additive.discard_after_s is not None and share != 0
            if reacts and ink is not None and ink.in_stock_g is not None:
                raise self._refused(
                    key,
                    "additives",
                    f'"{recipe.ink}" holds {name} and is thrown away after a time, so that it is never'
                    " stock, and [[inks]] states what is in stock of it",
                    "take in_stock out there, or leave the additive to be added",
                )
        for part in recipe.parts:
            if part not in self.names:
                raise self._refused(
                    key,
                    "parts",
                    f'the recipe of "{recipe.ink}" has a part that isn\'t known, "{part}"',
                    f"{instead(part, self.names)}; or add it as [[mix.component]]",
                )
            if recipe.by == "volume" and self.density(part) is None:
                raise self._refused(
                    key,
                    "parts",
                    f'the recipe of "{recipe.ink}" is by volume, and "{part}" has no density',
                    'give it one, like density = "1.05 g/ml", or write the recipe by mass',
                )

        self._check_ring(key, recipe)
        contradiction = self.contradiction(recipe.ink, recipe.parts, recipe.by)
        if contradiction:
            number = [one.name for one in self.shop.inks].index(recipe.ink) + 1
            raise self._refused(
                f"inks[{number}]", "density", contradiction, "correct the one that is wrong"
            )

    def contradiction(self, ink: str, parts: Mapping[str, float], by: By) -> str:
        """Say how an ink's stated density and that of its parts contradict each other.

        :return: empty where they agree to a tenth, or either isn't known
        """
        listed = self.shop.listed_ink(ink)
        stated = None if listed is None else listed.density_g_per_ml
        if stated is None:
            return ""
        made = self._made(parts, by)
        of_parts = density_of(made)
        if of_parts is None or abs(of_parts / stated - 1.0) <= DENSITIES_DIFFER:
            return ""
        tables = {one.name: "[[mix.component]]" for one in self.mix.component}
        where = dict.fromkeys(tables.get(part.name, "[[inks]]") for part in made)
        each = several([f"{part.density:g} g/ml of {part.name}" for part in made])
        return (
            f'"{ink}" is stated to have {stated:g} g/ml under [[inks]], and its parts come to'
            f" {of_parts:.3g} g/ml ({each}, under {several(list(where))})"
        )

    def _check_ring(self, key: str, recipe: Recipe) -> None:
        reached, left = set[str](), [name for name, share in recipe.parts.items() if share]
        while left:
            name = left.pop()
            if name == recipe.ink:
                raise self._refused(
                    key,
                    "parts",
                    f'the recipe of "{recipe.ink}" leads back to "{recipe.ink}" itself by way of its parts',
                    "give one of them parts that need no recipe",
                )
            further = self.recipe(name)
            if further is not None and name not in reached:
                left += [part for part, share in further.parts.items() if share]
            reached.add(name)

    def _refused(self, table: str, key: str, problem: str, do: str) -> SettingsError:
        where = self.origins.get(f"shop.{table}.{key}", "shop.toml")
        return SettingsError(f"{table}.{key}: {problem}", where=where, do=do)

    @property
    def names(self) -> tuple[str, ...]:
        """What inks can be mixed from: components, and the inks listed."""
        return (*(one.name for one in self.mix.component), *(ink.name for ink in self.shop.inks))

    @property
    def makes(self) -> tuple[str, ...]:
        """Inks that can be weighed out: by a recipe, or as they come."""
        made = [recipe.ink for recipe in self.mix.recipe]
        return tuple(dict.fromkeys([*made, *(ink.name for ink in self.shop.inks)]))

    def recipe(self, ink: str) -> Recipe | None:
        """Give the recipe of an ink."""
        return next((recipe for recipe in self.mix.recipe if recipe.ink == ink), None)

    def additive(self, name: str) -> Additive | None:
        """Give an additive."""
        return next((one for one in self.mix.additive if one.name == name), None)

    def density(self, name: str) -> float | None:
        """Give the density stated for a component, an additive or an ink in the list, in g/ml."""
        stated = {one.name: one.density_g_per_ml for one in self.mix.component}
        stated |= {one.name: one.density_g_per_ml for one in self.mix.additive}
        ink = self.shop.listed_ink(name)
        if ink is None:
            return stated.get(name)
        own = self.shop.own_kind(ink)
        return ink.density_g_per_ml or (None if own is None else own.density_g_per_ml)

    def density_lacks(self, mixture: Mixture) -> str:
        """Say of what no density is known, and where to write it; no sentence, but the end of one."""
        tables = {one.name: "[[mix.additive]]" for one in self.mix.additive}
        tables |= dict.fromkeys((mixture.ink.name, *(i.name for i in self.shop.inks)), "[[inks]]")
        by_table: dict[str, list[str]] = {}
        for name in mixture.without_density:
            by_table.setdefault(tables.get(name, "[[mix.component]]"), []).append(name)
        names = several([name for some in by_table.values() for name in some])
        return f"no density is known of {names}; write it into {several(by_table)} of shop.toml"

    def in_stock_g(self, name: str) -> float | None:
        """Give what is in stock; ``None``: not stated."""
        stated = {one.name: one.in_stock_g for one in self.mix.component}
        stated |= {one.name: one.in_stock_g for one in self.mix.additive}
        stated |= {one.name: one.in_stock_g for one in self.shop.inks}
        return stated.get(name)

    def mixable(
        self,
        ink: str,
        wishes: Iterable[Wish] = (),
        *,
        held: Collection[str] = (),
        usual_density: float | None = None,
    ) -> Mixable:
        """Give an ink of the shop with additives: by its recipe, else as it comes.

        :param wishes: additives, each in place of the recipe's own or on top of it
        :param held: names of what is in the pot already
        :param usual_density: of its kind in g/ml, where neither shop nor recipe says one
        :raises SettingsError: an additive that isn't known, or above its maker's maximum
        """
        recipe = self.recipe(ink)
        if recipe is None:
            return self._mixable(
                ink, {ink: 1.0}, "mass", {}, wishes, held, usual_density, written=False
            )
        own = self.own_additives(recipe)
        return self._mixable(ink, recipe.parts, recipe.by, own, wishes, held, usual_density)

    def by_parts(
        self,
        ink: str,
        parts: Mapping[str, float],
        by: By,
        wishes: Iterable[Wish] = (),
        held: Collection[str] = (),
    ) -> Mixable:
        """Give an ink that isn't written down.

        :raises prep_mix.shares.NoDensity: parts by volume, and one without a density
        :raises SettingsError: an additive that isn't known, or above its maker's maximum
        """
        return self._mixable(ink, parts, by, {}, wishes, held, None)

    def own_additives(self, recipe: Recipe) -> dict[str, float]:
        """Give the shares of additives that a recipe holds."""
        return {name: self._amount(name, share) for name, share in recipe.additives.items()}

    def _amount(self, name: str, share: float | str) -> float:
        one = self.additive(name)
        if isinstance(share, str):
            return 0.0 if one is None or one.usual is None else one.usual
        return share

    def _mixable(
        self,
        ink: str,
        parts: Mapping[str, float],
        by: By,
        own: Mapping[str, float],
        wishes: Iterable[Wish],
        held: Collection[str],
        usual_density: float | None,
        *,
        written: bool = True,
    ) -> Mixable:
        made = self._made(parts, by)
        listed = self.shop.listed_ink(ink)
        stated = None if listed is None else listed.density_g_per_ml
        # what its parts say of this ink stands before what is said of its whole kind
        density = stated or density_of(made) or self.density(ink)
        assumed = density is None and usual_density is not None
        shares = dict(own)
        replaced = []
        for wish in wishes:
            shares[wish.name] = self._with(wish, own.get(wish.name, 0.0))
            if not wish.on_top and own.get(wish.name, 0.0) not in (0.0, shares[wish.name]):
                replaced.append((wish.name, own[wish.name], shares[wish.name]))
        shares |= {name: 0.0 for name in held if name not in shares}
        added = []
        for name, share in shares.items():
            additive = self.additive(name)
            if additive is not None and (share > 0 or name in held):
                dosed = Dosed(name, share, additive.of, additive.by, additive.density_g_per_ml)
                added.append(Added(dosed, additive.most, additive.discard_after_s is not None))
        mixture = Mixture(Ink(ink, density or usual_density), made, tuple(added))
        first = self._mixed_first(mixture)
        own_reacts = [one.dosed.name for one in added if one.last]
        inner = [
            text if " in " in text else f"{text} in {name}"
            for name, part in first.items()
            for text in part.reacts
        ]
        discharges = [*self._discharge((ink, *(part.name for part in made if part.share)))]
        discharges += [name for part in first.values() for name in part.discharges]
        return Mixable(
            mixture=mixture,
            written=written,
            by=by,
            discard=self._discard(mixture, first),
            reacts=tuple(dict.fromkeys([*own_reacts, *inner])),
            spoils=frozenset([*own_reacts, *(n for n, part in first.items() if part.reacts)]),
            discharges=tuple(dict.fromkeys(discharges)),
            density_assumed=assumed,
            density_stated=stated is not None,
            replaced=tuple(replaced),
        )

    def _made(self, parts: Mapping[str, float], by: By) -> tuple[Part, ...]:
        """Give parts by mass.

        :raises prep_mix.shares.NoDensity: parts by volume, and one without a density
        """
        if by == "volume":
            parts = by_volume(parts, self._known(parts))
        whole = sum(parts.values())
        return tuple(Part(n, amount / whole, self.density(n)) for n, amount in parts.items())

    def _known(self, parts: Iterable[str]) -> dict[str, float]:
        from prep_mix.shares import NoDensity

        found = {name: self.density(name) for name in parts}
        lacking = [name for name, density in found.items() if density is None]
        if lacking:
            raise NoDensity(lacking)
        return {name: density for name, density in found.items() if density is not None}

    def _with(self, wish: Wish, own: float) -> float:
        """Give the share of an additive with what is asked for, in place of the recipe's own or on top.

        :raises SettingsError: it isn't known, has no usual share, or is more than its maker allows
        """
        one = self.additive(wish.name)
        names = [additive.name for additive in self.mix.additive]
        if one is None:
            raise wish.refused(
                f'there is no additive "{wish.name}"',
                instead(wish.name, names) or known_additives([]),
            )
        if wish.share == USUAL and one.usual is None:
            raise wish.refused(
                f"no usual share of {wish.name} is stated",
                f'say how much, like "2 %", up to {_percent(one.most)} {one.words}',
            )
        share = self._amount(wish.name, wish.share)
        own = own if wish.on_top else 0.0
        if own + share > one.most * (1 + 1e-12):
            held = ""
            allowed = f"{_percent(one.most)} or less"
            if own:
                held = f" with the {_percent(own)} that the recipe holds already"
                allowed = f"up to {_percent(one.most - own)} more"
            raise wish.refused(
                f"{_percent(share)} of {wish.name}{held} is above its maker's maximum of"
                f" {_percent(one.most)} {one.words}",
                f"take {allowed}",
            )
        return own + share

    def reacts_s(self, mixable: Mixable) -> float | None:
        """Give the shortest time after which an activator or cross-linker in it makes it be thrown away.

        Parts that have recipes of their own count with what these hold; ``None``: nothing reacts.
        """
        after = []
        for one in mixable.mixture.added:
            additive = self.additive(one.dosed.name)
            if additive is not None and additive.discard_after_s is not None:
                after.append(additive.discard_after_s)
        for part in self._mixed_first(mixable.mixture).values():
            own = self.reacts_s(part)
            after += [] if own is None else [own]
        return min(after, default=None)

    def _mixed_first(self, mixture: Mixture) -> dict[str, Mixable]:
        """Give the parts that have recipes of their own, as these make them."""
        names = [part.name for part in mixture.parts if part.share]
        return {n: self.mixable(n) for n in names if n != mixture.ink.name and self.recipe(n)}

    def _discharge(self, names: Iterable[str]) -> Iterator[str]:
        for name in names:
            ink = self.shop.listed_ink(name)
            if ink is not None and self.shop.kind_of(ink) == "discharge":
                yield name

    def _discard(self, mixture: Mixture, first: Mapping[str, Mixable]) -> Discard | None:
        found = []
        for one in mixture.added:
            additive = self.additive(one.dosed.name)
            if additive is not None and additive.discard_after_s is not None:
                found.append(Discard(additive.name, additive.discard_after_s))
        for name in (mixture.ink.name, *(part.name for part in mixture.parts if part.share)):
            ink = self.shop.listed_ink(name)
            life = None if ink is None else self._pot_life(ink)
            if life is not None:
                found.append(Discard(name, life))
        for name, part in first.items():
            if part.discard is not None:
                found.append(replace(part.discard, since=part.discard.since or name))
        return min(found, key=lambda one: one.after_s, default=None)

    def _pot_life(self, ink: ListedInk) -> float | None:
        own = self.shop.own_kind(ink)
        return ink.pot_life_s or (None if own is None else own.pot_life_s)


def alike(given: str, name: str) -> bool:
    """Tell whether a name may be another mistyped: four of five letters, in their order."""
    return SequenceMatcher(None, given.lower(), name.lower()).ratio() >= 0.8


def instead(given: str, choices: Sequence[str]) -> str:
    """Say which names there are, and which may have been meant; nothing where there are none."""
    if not choices:
        return ""
    listed = f"there are {', '.join(choices)}"
    near = nearest(given, choices)
    return f'did you mean "{near}"? {listed}' if near and len(choices) > 1 else listed


def _percent(share: float) -> str:
    return f"{100 * share:.6g} %"
