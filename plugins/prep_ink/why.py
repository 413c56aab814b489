"""How the ink of each screen, and what is mixed, are worked out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from prep.worked import Given, Standing, Worked, parameter_given, section_of, standing
from prep_ink import deposit, parameters
from prep_ink.answers import InkOnScreens, InkToMix, MeshOnScreens
from prep_ink.forecast import printed
from prep_ink.hand import Hand
from prep_ink.others import recipes_of, squeegee_on, washings_of
from prep_ink.settings import OrderInk, ShopInk
from prep_ink.weighed import hand_of
from prep_ink.words import between, figure, percent, weight

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.screens import Screen
    from prep.sections import Section
    from prep_ink.answers import InkOnScreen
    from prep_ink.one_print import OnePrint
    from prep_ink.parameters import Known

_TITLE = "How the ink of this job is worked out"
_LIKELIEST = (
    "Worked with the likeliest value of each figure. The ranges beside figures are those of 512 possible"
    " runs, in each of which all that is uncertain is drawn at once."
)
_MODEL = "own model: as much as the mesh holds, and more along the film's edge"
_LEFT = "own reckoning: lengths and areas times what lies on them"
_MM2_PER_CM2 = 100.0
_LARGEST_TRANSFER = "No stroke leaves more than all the void of the cloth."


def why_section(job: Job, ask: Ask) -> Section:
    """Give how the ink figures of a set-up are worked out."""
    return section_of(_TITLE, worked_of(job, ask), _LIKELIEST)


def order_why(job: Job, mixes: Sequence[InkToMix]) -> Section:
    """Give how what is mixed for the whole order is worked out.

    :param job: of any set-up: what is mixed by is the order's and the shop's
    """
    return section_of(
        "How what to mix for the whole order is worked out", mixed_of(job, mixes), _LIKELIEST
    )


def worked_of(job: Job, ask: Ask) -> Iterator[Worked]:
    """Give each ink figure of each screen, and what to mix of each ink."""
    ink, meshes = ask(InkOnScreens), ask(MeshOnScreens)
    recipes, hand = recipes_of(ask), hand_of(job)
    for screen in job.screens:
        one = printed(job, screen, meshes[screen.key], recipes)
        own = hand.on(one.mesh.name, screen.ink, one.strokes, one.weighed_too)
        yield from _Screen(job, ask, one, own, ink[screen.key]).figures()
    yield from mixed_of(job, ink.inks)


class _Screen:
    """One screen's ink, and what goes into it."""

    def __init__(self, job: Job, ask: Ask, one: OnePrint, hand: Hand, ink: InkOnScreen) -> None:
        self.job, self.ask, self.one, self.hand, self.ink = job, ask, one, hand, ink
        self.screen: Screen = one.screen
        self.of = f"screen {self.screen.number}, {self.screen.ink}"
        self.density = self._given(one.density, "density of the ink")
        mesh = hand.known(one.mesh_volume).parameter
        volume = one.mesh.volume_um
        self.volume = Given(
            "ink that the mesh holds",
            volume * mesh.default,
            "cm³/m²",
            mesh.status,
            mesh.source,
            volume * mesh.low,
            volume * mesh.high,
        )
        area = self.screen.measures.area_mm2 / _MM2_PER_CM2
        self.area = Given("area that prints", area, "cm²", "from the artwork")
        self.passes = Given("passes", float(self.screen.passes), "", "from the order")

    def _given(self, known: Known, words: str = "") -> Given:
        return parameter_given(words or known.words, self.hand.known(known).parameter)

    def _worked(
        self,
        name: str,
        formula: str,
        given: dict[str, Given],
        value: float,
        unit: str,
        said: str,
        *,
        holds: str = "",
        source: str = _MODEL,
    ) -> Worked:
        return Worked(name, formula, given, value, unit, said, holds, source, self.of)

    def figures(self) -> Iterator[Worked]:
        yield self._per_print()
        ink = self.ink
        per = Given("grams per print", ink.per_print_g.value, "g", "worked out", "as told here")
        yield self._worked(
            "Wet ink",
            "{per} ÷ {density} ÷ {area} × 10000",
            {"per": per, "density": self.density, "area": self.area},
            ink.mean_deposit_um.value,
            "µm",
            between(ink.mean_deposit_um),
            holds="The mean over all that prints.",
        )
        shirts = self.job.setup.shirts
        spoilt = ink.prints - shirts - ink.test_pulls
        order: tuple[Standing, str] = "from the order", "or usual in [ink] of order.toml"
        yield self._worked(
            "For the run",
            "{per} × ({shirts} + {tests} + {spoilt})",
            {
                "per": per,
                "shirts": Given("shirts", float(shirts), "", "from the order"),
                "tests": Given("test pulls", float(ink.test_pulls), "", *order),
                "spoilt": Given("shirts spoilt", float(spoilt), "", *order),
            },
            ink.for_run_g.value,
            "g",
            between(ink.for_run_g),
            source="counts prints",
        )
        yield from self._stays()

    def _per_print(self) -> Worked:
        one, hand = self.one, self.hand
        given = {"density": self.density, "passes": self.passes}
        given |= {"transfer": self._given(parameters.TRANSFER), "volume": self.volume}
        given["area"] = self.area
        transfer, holds = "{transfer}", ""
        if not hand.weighed and given["transfer"].value * self.volume.value > one.mesh.void_um:
            transfer, holds = "(smaller of ({transfer}; {void} ÷ {volume}))", _LARGEST_TRANSFER
            given["void"] = Given(
                "void of the cloth", one.mesh.void_um, "cm³/m²", "worked out", "from the mesh"
            )
        strokes = self._strokes(given)
        inside = "{volume} × {area}"
        if one.film.side == "shirt":
            inside += " + {film} × {thick} × {stands} × {edge}"
            given |= self._edge()
        return self._worked(
            "Per print",
            f"{{density}} × {{passes}}{strokes} × {transfer} × ({inside}) ÷ 10000",
            given,
            self.ink.per_print_g.value,
            "g",
            between(self.ink.per_print_g),
            holds=holds,
        )

    def _strokes(self, given: dict[str, Given]) -> str:
        """Give the part of the formula that further strokes make, and note what goes into it."""
        strokes = self.one.strokes
        if strokes == 1:
            return ""
        second = self._given(parameters.SECOND_STROKE)
        if strokes == 2:
            given["second"] = second
            return " × (1 + {second})"
        factor = float(deposit.strokes_factor(second.value, strokes))
        source = f"1 and, for each further one, {second.text}"
        given["strokes"] = Given(f"all {strokes} strokes", factor, "", "worked out", source)
        return " × {strokes}"

    def _edge(self) -> dict[str, Given]:
        film, hand = self.one.film, self.hand
        reach = hand.known(parameters.EDGE_REACH).parameter
        edge = float(self.one.edge_mm2(hand)[0]) / _MM2_PER_CM2
        summed = (
            f"exp(−distance from the film ÷ {reach.default:g} mm) summed over all that prints; the"
            f" reach of {reach.default:g} mm ({reach.low:g} to {reach.high:g}) is {reach.status}"
        )
        stated = standing(film, "thickness_um", "film.thickness in shop.toml", "usual", "no source")
        return {
            "film": Given("thickness of film and adhesive", film.thickness_um, "µm", *stated),
            "thick": self._given(parameters.FILM_THICKNESS),
            "stands": self._given(parameters.FILM_STANDS),
            "edge": Given("edge integral", edge, "cm²", "worked out", summed),
        }

    def _stays(self) -> Iterator[Worked]:
        ink, ask = self.ink, self.ask
        beyond = self.job.settings(ShopInk).stroke_beyond_mm
        blade = squeegee_on(ask, self.screen, beyond)
        told = blade.assumed or "see squeegee"
        squeegee = Given("length of the squeegee", blade.length_mm, "mm", "worked out", told)
        yield self._worked(
            "Stays behind as bead",
            "{density} × {bead} × {squeegee} ÷ 1000",
            {
                "density": self.density,
                "bead": self._given(parameters.BEAD, "cross-section of the bead at the last print"),
                "squeegee": squeegee,
            },
            ink.bead_g.value,
            "g",
            f"{figure(ink.bead_g.value)} g as bead",
            source=_LEFT,
        )
        _, north, _, south = self.screen.measures.bounds_mm
        swept = Given(
            "area that carries ink",
            ink.swept_mm2 / _MM2_PER_CM2,
            "cm²",
            "worked out",
            f"squeegee × (print {south - north:.0f} mm high + 2 × {blade.beyond_mm:.0f} mm beyond it)",
        )
        formula = (
            "{density} × (({volume} × {area} + {layer} × {swept}) ÷ 10000"
            " + {blade} × {squeegee} ÷ 1000)"
        )
        given = {
            "density": self.density,
            "volume": self.volume,
            "area": self.area,
            "layer": self._given(parameters.LAYER_LEFT),
            "swept": swept,
            "blade": self._given(parameters.ON_BLADE),
            "squeegee": squeegee,
        }
        often = washings_of(self.job, ask, self.screen)
        if often > 1:
            formula += " × {often}"
            given["often"] = Given("times it is washed out", float(often), "", "worked out")
        yield self._worked(
            "Stays behind on mesh, film and blade",
            formula,
            given,
            ink.clings_g.value,
            "g",
            f"{figure(ink.clings_g.value)} g on mesh, film and blade",
            source=_LEFT,
        )
        yield self._worked(
            "Stays behind",
            "{bead} + {clings}",
            {
                "bead": Given("as bead", ink.bead_g.value, "g", "worked out", "as told here"),
                "clings": Given(
                    "on mesh, film and blade", ink.clings_g.value, "g", "worked out", "as told here"
                ),
            },
            ink.stays_g.value,
            "g",
            between(ink.stays_g),
            source=_LEFT,
        )


def mixed_of(job: Job, mixes: Sequence[InkToMix]) -> Iterator[Worked]:
    """Give what to mix of each ink, with its rounding and the chance that it suffices."""
    order, balance = job.settings(OrderInk), job.shop.balance
    pot = Hand(job.settings(ShopInk)).known(parameters.POT_LOSS).parameter
    shown = Given(
        "what the balance shows",
        balance.readability_g,
        "g",
        *standing(
            balance, "readability_g", "balance.readability in shop.toml", "usual", "no source"
        ),
    )
    for mix in mixes:
        given = {
            "run": _of(mix, "for the run, all its screens", "for_run_g", "as told here"),
            "bead": _of(mix, "as beads", "bead_g", "the largest where one is carried on, else all"),
            "clings": _of(
                mix, "on mesh, film and blade", "clings_g", "all films it is washed out of"
            ),
            "pot": Given(
                "in the pot",
                mix.pot_g.value,
                "g",
                pot.status,
                pot.source,
                mix.pot_g.low,
                mix.pot_g.high,
            ),
            "shown": shown,
        }
        rounded = (
            ", rounded up by 2 % at most, in steps of 1, 2 or 5 that the balance shows ({shown})"
        )
        if order.reserve is None:
            formula = (
                "what {run} + {bead} + {clings} + {pot} stays under in {enough} % of 512 possible"
                " runs"
            )
            given["enough"] = Given(
                "chance that it suffices",
                100.0 * order.enough_at,
                "",
                *standing(order, "enough_at", "ink.enough_at in order.toml", "usual", "our choice"),
            )
        else:
            formula = "{run} × (1 + {reserve}) + {bead} + {clings} + {pot}"
            given["reserve"] = Given(
                "reserve", order.reserve, "", "stated", "ink.reserve in order.toml"
            )
        yield Worked(
            "To mix",
            formula + rounded,
            given,
            mix.to_mix_g,
            "g",
            weight(mix.to_mix_g, job.shop.units),
            f"Suffices in {percent(mix.chance)} of these runs.",
            "quantile of runs drawn, not a sum of the likeliest values",
            mix.ink,
            counted=True,
        )


def _of(mix: InkToMix, words: str, part: str, source: str) -> Given:
    found = getattr(mix, part)
    return Given(words, found.value, "g", "worked out", source, found.low, found.high)
