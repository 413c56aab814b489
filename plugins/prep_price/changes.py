"""What a changed order would cost: fifty shirts more, one colour less, each worked through again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from prep.colour_difference import difference as colour_difference
from prep.errors import InputError
from prep_price.costs import Cost, Difference, difference
from prep_price.items import cost_of
from prep_price.sharing import in_proportion

if TYPE_CHECKING:
    from prep.job import Job
    from prep.line import Line
    from prep.order import Order
    from prep.request import Request

Kind = Literal["more shirts", "one colour less"]


@dataclass(frozen=True, slots=True)
class Change:
    """A change, and what the order then costs.

    :param what: in few words
    :param told: what exactly is changed, a sentence; empty where ``what`` says it all
    :param cost: of the changed order; ``None`` where it isn't reckoned
    :param apart: from the order as it is, draw by draw
    :param why_not: sentences; empty where it is reckoned
    """

    kind: Kind
    what: str
    told: str = ""
    cost: Cost | None = None
    apart: Difference | None = None
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class Spared:
    """The colour an order can do without best.

    :param printed_as: the nearest other that is printed wherever it is
    :param difference: CIEDE2000 between the two
    :param with_it: colours that the order prints as the spared one, and now as the other
    """

    colour: str
    printed_as: str
    difference: float
    with_it: tuple[str, ...]

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """What is printed as what."""
        return tuple((colour, self.printed_as) for colour in (self.colour, *self.with_it))


def reckoned(line: Line) -> tuple[tuple[Job, ...], Cost]:
    """Work an order through and give what it costs.

    :raises PluginFailed: a plugin failed, also while answering another
    """
    jobs = tuple(line.job(setup) for setup in line.setups)
    line.session.begin()
    cost = cost_of([(job, line.ask(job)) for job in jobs])
    if line.session.failures:
        raise line.session.failures[0]
    return jobs, cost


def changes_of(
    line: Line, request: Request, jobs: Sequence[Job], cost: Cost, more: int
) -> tuple[Change, ...]:
    """Work both changes through; the line isn't to be used any more then.

    :param jobs: all set-ups of the order as it is
    :param more: shirts more
    """
    many = Change("more shirts", f"{more} {'shirt' if more == 1 else 'shirts'} more")
    if cost.total is None:
        why = "No price is stated."
        return replace(many, why_not=why), Change("one colour less", "One colour less", why_not=why)
    line, many = _tried(line, replace(request, counts=more_of(line.loaded.order, more)), many, cost)
    spared = spare(jobs)
    if spared is None:
        return many, Change("one colour less", "One colour less", why_not=_none_to_spare(jobs))
    told = (
        f"One colour less: {spared.colour}, which prints least, is printed as {spared.printed_as}, the"
        f" nearest other; they are {spared.difference:.0f} CIEDE2000 apart."
    )
    fewer = replace(request, printed_as=spared.pairs)
    _, less = _tried(line, fewer, Change("one colour less", "One colour less", told), cost)
    return many, less


def more_of(order: Order, more: int) -> tuple[tuple[int, str, int], ...]:
    """Share more shirts out over the garments and sizes of an order, as they are to each other."""
    of = [
        (number, size, count)
        for number, garment in enumerate(order.garment)
        for size, count in garment.sizes.items()
    ]
    raised = in_proportion([count for _, _, count in of], more)
    return tuple((number, size, count) for (number, size, _), count in zip(of, raised, strict=True))


def spare(jobs: Sequence[Job]) -> Spared | None:
    """Give the colour that prints least, by area over all shirts, of those that another can stand for.

    That is the nearest in colour of those that are printed in every set-up where it is; ``None`` where
    there is none. A colour that a base prints has no screen to be spared.
    """
    own = {one.colour for job in jobs for one in job.screens if one.does == "colour"}
    area_mm2: dict[str, float] = {}
    there: dict[str, set[int]] = {}
    for number, job in enumerate(jobs):
        for one in job.drawn:
            printed = one.region.area * job.setup.shirts
            area_mm2[one.colour] = area_mm2.get(one.colour, 0.0) + printed
            there.setdefault(one.colour, set()).add(number)
    for colour in sorted(area_mm2, key=lambda colour: (area_mm2[colour], colour)):
        others = [one for one in there if one != colour and there[colour] <= there[one]]
        if others and colour in own:
            apart, nearest = min((colour_difference(colour, one), one) for one in others)
            return Spared(colour, nearest, apart, _printed_as(colour, jobs))
    return None


def _printed_as(colour: str, jobs: Sequence[Job]) -> tuple[str, ...]:
    choices = (choice for job in jobs for choice in job.setup.colours)
    return tuple(dict.fromkeys(one.colour for one in choices if one.print_as == colour))


def _none_to_spare(jobs: Sequence[Job]) -> str:
    if all(len(job.drawn) < 2 for job in jobs):
        where = "it prints" if len(jobs) == 1 else "each of its set-ups prints"
        return f"There is none to spare: {where} a single colour."
    return "No colour with a screen of its own has another that is printed wherever it is."


def _tried(line: Line, request: Request, change: Change, before: Cost) -> tuple[Line, Change]:
    """Work a change through; gives the line to go on with, too."""
    try:
        line = line.changed(request)
        _, cost = reckoned(line)
    except InputError as error:
        return line, replace(change, why_not=f"That order can't be worked: {error}.")
    known = {(one.part, one.what) for one in before.lacking}
    new = [one.what for one in cost.lacking if (one.part, one.what) not in known]
    if new:
        return line, replace(change, why_not=f"Its {', '.join(new)} can't be reckoned.")
    apart = difference(before, cost)
    if apart is None:
        return line, replace(change, why_not="Nothing of it is priced.")
    return line, replace(change, cost=cost, apart=apart)
