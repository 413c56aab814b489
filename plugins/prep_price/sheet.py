"""What job page and order page say of costs: only where the shop states prices."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from prep.setups import expand
from prep_price.items import cost_of
from prep_price.settings import Price
from prep_price.why import why_section
from prep_price.wording import section, unpriced

if TYPE_CHECKING:
    from prep.job import Ask, Job
    from prep.sections import Section


def sections_of(job: Job, ask: Ask) -> Iterator[Section]:
    """Give the parts for a job that is the whole order; set-ups of a larger one share its costs."""
    if len(expand(job.order, dark_below=job.shop.dark_below)) == 1:
        yield from order_sections_of([(job, ask)])


def order_sections_of(asked: Sequence[tuple[Job, Ask]]) -> Iterator[Section]:
    """Give the parts for an order."""
    price = asked[0][0].settings(Price)
    if not price.states_something:
        yield unpriced()
    else:
        cost = cost_of(asked)
        yield section(cost, price.currency)
        if cost.total is not None:
            yield why_section(cost, price)
