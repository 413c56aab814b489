"""Which colours need a base, which are white themselves, and which do without."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from prep.colour_difference import lab_of
from prep.errors import SettingsError
from prep.findings import Unused
from prep.job import Job
from prep.make_ready import colour_screens
from prep.screens import DesignRegion, Screen, ink_kind
from prep_base.settings import Base, BaseOrder

Role = Literal["on base", "white", "none"]


@dataclass(frozen=True, slots=True, eq=False)
class Member:
    """A colour of the design.

    :param screen: as it would be printed without a base
    :param kind: of its ink
    :param role: ``on base``: needs one; ``white``: opaque white itself; ``none``: needs none
    :param why: for that, a sentence
    """

    design: DesignRegion
    screen: Screen
    kind: str
    role: Role
    why: str

    @property
    def colour(self) -> str:
        """``#rrggbb``."""
        return self.design.colour


@dataclass(frozen=True, slots=True)
class Members:
    """All colours of a set-up in paint order.

    :param unused: what the order says of colours this set-up doesn't have
    """

    every: tuple[Member, ...]
    unused: tuple[Unused, ...] = ()

    def of(self, role: Role) -> tuple[Member, ...]:
        """Give those of one role."""
        return tuple(member for member in self.every if member.role == role)

    @property
    def films(self) -> int:
        """Films where no two screens share one, the base's among them."""
        return len(self.every) + bool(self.of("on base") and self.white is None)

    @property
    def white(self) -> Member | None:
        """The white that can share the base's screen: the one that prints most."""
        return max(self.of("white"), key=lambda m: m.design.region.area, default=None)


def members_of(job: Job) -> Members:
    """Give each colour its role.

    :raises SettingsError: the order names a colour that isn't printed
    """
    wish = job.settings(BaseOrder)
    screens = colour_screens(job.design, job.setup, job.shop)
    by_colour = {region.colour: region for region in job.design}
    every = tuple(_member(job, by_colour[screen.key], screen) for screen in screens)
    unused = tuple(_unused(job, wish, by_colour))
    return Members(every, unused)


def _member(job: Job, design: DesignRegion, screen: Screen) -> Member:
    kind, _ = ink_kind(screen, job.shop)
    role, why = _role(job, design.colour, kind)
    return Member(design, screen, kind, role, why)


def _role(job: Job, colour: str, kind: str) -> tuple[Role, str]:
    wish = job.settings(BaseOrder)
    if colour in wish.not_under:
        return ("white" if kind == "opaque white" else "none"), "The order wants no base under it."
    if colour in wish.under:
        return "on base", "The order wants a base under it."
    if kind == "opaque white":
        return "white", "It is opaque white itself."
    if job.setup.shade != "dark":
        return "none", "The shirts are light."
    if kind == "discharge":
        return "none", "Discharge ink takes the shirt's dye away."
    lightest = max(lab_of(batch.colour)[0] for batch in job.setup.batches)
    if lab_of(colour)[0] < lightest + job.settings(Base).lighter_by:
        return "none", "It is hardly lighter than the shirts."
    return "on base", "It is lighter than the shirts, which would show through."


def _unused(job: Job, wish: BaseOrder, there: Iterable[str]) -> Iterator[Unused]:
    """Say which colours of the order aren't here.

    :raises SettingsError: the order has one print alone, so that no other can have them
    """
    listed = tuple(there)
    for key in ("under", "not_under"):
        for number, colour in enumerate(getattr(wish, key)):
            if colour in listed:
                continue
            if len(job.order.print) == 1:
                raise refused(
                    job,
                    key,
                    f"{colour} isn't printed",
                    f"there are {', '.join(listed)}; name one of these or take it out",
                )
            says = f"base.{key} names {colour}, which isn't printed here."
            yield Unused(says, ("base", key, number))


def refused(
    job: Job, key: str, problem: str, do: str, *, file: str = "order.toml"
) -> SettingsError:
    """Make the one line that names file, key and remedy.

    :param file: where the key stands if nobody says
    """
    shops = "shop." if file == "shop.toml" else ""
    layer = job.chosen.origins.get(f"{shops}base.{key}", file)
    return SettingsError(f"base.{key}: {problem}", where=layer, do=do)
