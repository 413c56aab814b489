"""What an order uses up, asked of those who reckon it, with the prices that the shop states."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from prep.errors import SettingsError, Unanswered
from prep.phrases import several
from prep_price.costs import Cost, Item, Lacking, at_least, exactly, spoilt, total_of
from prep_price.settings import Price

if TYPE_CHECKING:
    from prep.estimate import Estimate
    from prep.job import Ask, Job
    from prep_ink.answers import InkOnScreens, InkToMix

    Asked = Sequence[tuple[Job, Ask]]

_INKS, _FILM, _HOURS = "inks", "film", "hours of work"


def cost_of(asked: Asked) -> Cost:
    """Reckon what an order costs.

    :param asked: all its set-ups, each with whom to ask about it
    :raises ValueError: no set-ups
    :raises SettingsError: a price of an ink that the shop, which lists its inks, doesn't have
    """
    if not asked:
        raise ValueError("an order without set-ups costs nothing")
    job = asked[0][0]
    price, shirts = job.settings(Price), shirts_of(job)
    _check_inks(job, price)
    found: list[Item | Lacking] = [
        *_garments(asked, price),
        *_ink(asked, price),
        *_film(asked, price),
        _screens(asked, price),
        *_work(asked, price),
        *_other(price, shirts),
    ]
    return Cost(
        items=tuple(one for one in found if isinstance(one, Item)),
        lacking=tuple(one for one in found if isinstance(one, Lacking)),
        shirts=shirts,
        notes=(*_garments_without_own(job, price), *_notes(asked)),
    )


def shirts_of(job: Job) -> int:
    """Count the good shirts of the whole order."""
    return sum(sum(garment.sizes.values()) for garment in job.order.garment)


def _check_inks(job: Job, price: Price) -> None:
    inks = [ink.name for ink in job.shop.inks]
    for name in price.ink:
        if inks and name not in inks:
            raise SettingsError(
                f'price.ink.{name}: the shop lists inks, and no "{name}"',
                where="shop.toml",
                do=f"write one of {several(inks)}, or add it under [[inks]]",
            )


def _garments(asked: Asked, price: Price) -> Iterator[Item | Lacking]:
    """Give the garments ordered, and those spoilt, which are bought again."""
    job = asked[0][0]
    ordered: dict[str, int] = {}
    for garment in job.order.garment:
        count = sum(garment.sizes.values())
        ordered[garment.name] = ordered.get(garment.name, 0) + count
    laid = dict.fromkeys(ordered, 0)
    for one, _ in asked:
        for batch in one.setup.batches:
            laid[batch.garment] += batch.count
    share = _spoilage(job)
    if share is None:
        why = "Nobody says how many are spoilt: the plugin ink isn't there."
        yield Lacking("garments", "garments spoilt", why)
    for name, count in ordered.items():
        each = price.garment.get(name, price.garments)
        key = f'price.garment."{name}" or price.garments'
        yield Item("garments", name, exactly(count, ""), each, 1.0, "each", key)
        if share:
            lost = spoilt(name, laid[name], share)
            yield Item("garments", f"{name}, spoilt", lost, each, 1.0, "each", key)


def _garments_without_own(job: Job, price: Price) -> Iterator[str]:
    """Say which garments have no price of their own though others do: a name may be mistyped."""
    ordered = dict.fromkeys(garment.name for garment in job.order.garment)
    without = [f'"{name}"' for name in ordered if name not in price.garment]
    if without and price.garment:
        has = several([f'"{name}"' for name in price.garment])
        how = "isn't priced" if price.garments is None else "is priced by price.garments"
        if len(without) > 1:
            how = how.replace("isn't", "aren't").replace("is priced", "are priced")
        yield (
            f"{several(without)} {how}: under price.garment shop.toml names {has}. Garments go by the names"
            " that the order gives them."
        )


def _spoilage(job: Job) -> float | None:
    """Give the share of shirts spoilt; ``None`` where nobody reads it."""
    if "ink" in job.without:
        return None
    try:
        from prep_ink.settings import OrderInk
    except ModuleNotFoundError:
        return None
    return job.settings(OrderInk).spoilage


def _ink(asked: Asked, price: Price) -> Iterator[Item | Lacking]:
    """Give every ink that is used up, and the strokes that wear mesh and squeegee."""
    try:
        from prep_ink.answers import InkOnScreens, over_all

        forecasts = [(job, ask(InkOnScreens)) for job, ask in asked]
    except (ModuleNotFoundError, Unanswered) as error:
        why = _told(error)
        yield Lacking("ink", _INKS, why)
        yield Lacking("wear", "strokes of the squeegee", why)
        return
    for mix in over_all(forecasts):
        each = price.ink.get(mix.ink, price.ink_per_kg)
        key = f'price.ink."{mix.ink}" or price.ink_per_kg'
        thrown = "" if mix.pot_life_s is None else ", mixed and thrown away"
        yield Item("ink", f"{mix.ink}{thrown}", _used(mix), each, 1000.0, "a kg", key)
    yield Item(
        "wear",
        "strokes of the squeegee",
        exactly(sum(_strokes(ink) for _, ink in forecasts), ""),
        price.wear_per_pull,
        1.0,
        "a stroke",
        "price.wear_per_pull",
    )


def _used(mix: InkToMix) -> Estimate:
    """Give what of an ink is gone after the run: a mix that doesn't keep whole, else what can't be kept.

    What is scraped back from the screens of an ink that keeps is stock.
    """
    if mix.pot_life_s is None:
        return total_of([mix.for_run_g, mix.clings_g, mix.pot_g])
    return at_least(mix.for_run_g + mix.stays_g, mix.to_mix_g)


def _strokes(ink: InkOnScreens) -> int:
    return sum(one.prints * one.passes * one.strokes for one in ink.by_screen.values())


def _film(asked: Asked, price: Price) -> Iterator[Item | Lacking]:
    try:
        from prep_stencils.answers import FilmSheets

        films = [(job, ask(FilmSheets)) for job, ask in asked]
    except (ModuleNotFoundError, Unanswered) as error:
        yield Lacking("film", _FILM, _told(error))
        return
    narrow = [job.setup.name for job, film in films if not film.sheets]
    for name in narrow:
        yield Lacking("film", f"film of {name}", "The shop's film is too narrow for it.")
    length_m = sum(film.film_length_mm for _, film in films if film.sheets) / 1000.0
    if len(narrow) < len(films):
        yield Item(
            "film",
            _FILM,
            exactly(length_m, "m"),
            price.film_per_m,
            1.0,
            "a metre",
            "price.film_per_m",
        )


def _screens(asked: Asked, price: Price) -> Item:
    count = sum(len(job.films) for job, _ in asked)
    return Item(
        "screens",
        "screens set up",
        exactly(count, ""),
        price.screen,
        1.0,
        "a screen",
        "price.screen",
    )


def _work(asked: Asked, price: Price) -> Iterator[Item | Lacking]:
    try:
        from prep_plan.answers import WorkPlan
        from prep_plan.whole_order import whole_order

        planned = [(job, ask(WorkPlan)) for job, ask in asked]
    except (ModuleNotFoundError, Unanswered) as error:
        yield Lacking("work", _HOURS, _told(error))
        return
    hours = whole_order(planned).whole
    yield Item("work", _HOURS, hours, price.hour, 1.0, "an hour", "price.hour")


def _other(price: Price, shirts: int) -> Iterator[Item]:
    for one in price.other:
        if one.each is not None:
            yield Item("other", one.what, exactly(shirts, ""), one.each, 1.0, "a shirt", "")
        else:
            yield Item("other", one.what, exactly(1, ""), one.once, 1.0, "once", "")


def _notes(asked: Asked) -> Iterable[str]:
    """Give what the hours lack, each thing once."""
    try:
        from prep_plan.answers import WorkPlan

        lacking = [line for _, ask in asked for line in ask(WorkPlan).lacking]
    except (ModuleNotFoundError, Unanswered):
        return ()
    return dict.fromkeys(lacking)


def _told(error: Exception) -> str:
    if isinstance(error, Unanswered):
        return f"{error.why[:1].upper()}{error.why[1:].rstrip('.')}."
    return "The plugin that reckons it isn't installed."
