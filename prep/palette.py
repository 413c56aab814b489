"""What happens to each colour of the artwork: printed, printed as another, or the shirt left bare.

Nothing is joined or left out because colours are merely alike: that is reported, and done when asked.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from prep.artwork import Artwork
from prep.errors import InputError
from prep.order import ColourChoice, Order, SetUp
from prep.phrases import several
from prep.separations import Separation
from prep.shop import Shop

Refuse = Callable[[ColourChoice, str, str, str], InputError]
"""Makes the error for a key of a choice (``hex`` or ``print_as``), from what is wrong and what to do."""


def _refuse(choice: ColourChoice, key: str, problem: str, do: str) -> InputError:
    return InputError(problem, where=f"colour {choice.colour}, {key}", do=do)


@dataclass(frozen=True, slots=True)
class Palette:
    """What was decided for the colours of one set-up.

    :param joined: colour -> colour it is printed as; others are printed as they are
    :param bare: colours that get no screen, after joining
    :param notes: what happens and what is worth knowing, whole sentences
    """

    joined: Mapping[str, str] = field(default_factory=dict)
    bare: frozenset[str] = frozenset()
    notes: tuple[str, ...] = ()


def decide(
    painted: Sequence[Separation],
    order: Order,
    setup: SetUp,
    shop: Shop,
    artwork: str,
    tints: Sequence[str] = (),
    shown_elsewhere: Callable[[ColourChoice], bool] = lambda _: False,
    refuse: Refuse = _refuse,
) -> Palette:
    """Decide what happens to each colour of an artwork in one set-up.

    Colours are joined first, as the order asks. Then a colour is left bare when the order says it
    isn't printed, or when all garments of the set-up have exactly this colour. Garments of several
    colours share the screens, so a colour that only some of them have is printed on all.

    :param painted: what shows of each colour of the artwork
    :param artwork: its name, for messages
    :param tints: colours that only tints made solid have; some may be hidden
    :param shown_elsewhere: whether another set-up that a choice is meant for, too, has its colours
    :param refuse: makes the error, naming the file that the key stands in
    :raises InputError: the order speaks of a colour the artwork doesn't have, and no other set-up that
        this is meant for has it
    """
    there = sorted(s.colour for s in painted)
    joined, absent = _joined(setup, there, artwork, shown_elsewhere, refuse)
    printed = [s.colour for s in painted if s.colour not in joined]
    left_out = [c.colour for c in setup.colours if c.printed is False and c.colour in there]
    shirt = [c for c in printed if c not in left_out and _is_the_shirts(c, order, setup)]
    bare = frozenset((*left_out, *shirt))
    kept = [colour for colour in printed if colour not in bare]
    whites = _whites_that_stay(kept, setup, shop)
    area_mm2 = dict.fromkeys(there, 0.0)
    for s in painted:
        area_mm2[joined.get(s.colour, s.colour)] += s.region.area
    notes = (
        *_of_tints([c for c in kept if c in tints], tints, setup),
        *absent,
        *_of_joined(joined, bare),
        *_of_left_out(left_out),
        *_of_bare(shirt, setup, area_mm2),
        *_of_the_shirts_colour(kept, order, setup),
        *_of_near_equal(kept, order, area_mm2, whites),
        *_of_shared_inks(ink_names(kept, setup, shop), whites),
    )
    return Palette(joined, bare, notes)


def recoloured(artwork: Artwork, joined: Mapping[str, str]) -> Artwork:
    """Give the artwork as if joined colours had been drawn in the colour they are printed as.

    Separated again, joined shapes are united as drawn. Uniting their separations instead would
    now and then leave cracks as wide as a rounding error where one had been cut out of the other.
    """
    shapes = (
        dataclasses.replace(s, colour=joined[s.colour]) if s.colour in joined else s
        for s in artwork.shapes
    )
    return dataclasses.replace(artwork, shapes=tuple(shapes))


def with_screens(
    separations: Sequence[Separation], palette: Palette, artwork: str
) -> tuple[Separation, ...]:
    """Give the separations that get a screen.

    :param separations: colours already joined
    :raises InputError: none does
    """
    kept = tuple(s for s in separations if s.colour not in palette.bare)
    if separations and not kept:
        raise InputError(
            f"nothing is left to print: {several(s.colour for s in separations)}"
            " would leave the shirt bare",
            where=artwork,
            do="print on shirts of another colour (--garment), or set bare_shirt = false, or take"
            " printed = false out",
        )
    return kept


def in_cm2(area_mm2: float) -> str:
    """Say an area: ``51.20 cm²``; what is too small for that is told so, and never as nothing.

    >>> in_cm2(5120.0), in_cm2(0.2), in_cm2(0.0)
    ('51.20 cm²', 'under 0.01 cm²', '0.00 cm²')
    """
    return "under 0.01 cm²" if 0.0 < area_mm2 < 0.5 else f"{area_mm2 / 100:.2f} cm²"


def ink_names(colours: Iterable[str], setup: SetUp, shop: Shop) -> dict[str, str]:
    """Give each colour's ink: the one the order names, one in stock of this colour, or the colour.

    Where the stock has several of a colour, one that works on the shirt's dye is the last choice.
    """
    chosen = {choice.colour: choice.ink for choice in setup.colours}
    inks = sorted(shop.inks, key=lambda ink: shop.kind_of(ink) != "discharge")
    stock = {ink.colour: ink.name for ink in inks if ink.colour is not None}
    return {colour: chosen.get(colour) or stock.get(colour) or colour for colour in colours}


def _joined(
    setup: SetUp,
    there: Sequence[str],
    artwork: str,
    shown_elsewhere: Callable[[ColourChoice], bool],
    refuse: Refuse,
) -> tuple[dict[str, str], list[str]]:
    """Give what is joined, and tell of colours that are named for other set-ups."""
    joined, told = {}, {}
    for choice in setup.colours:
        absent = [c for c in (choice.colour, choice.print_as) if c is not None and c not in there]
        if not absent:
            if choice.print_as is not None:
                joined[choice.colour] = choice.print_as
        elif not shown_elsewhere(choice):
            raise refuse(
                choice,
                "hex" if choice.colour in absent else "print_as",
                f"{artwork} doesn't have the colour {absent[0]}",
                f"it has {', '.join(there)}; name one of these, or take it out",
            )
        else:
            told.update({colour: _of_absent(colour, setup, there, artwork) for colour in absent})
    return joined, list(told.values())


def _of_absent(colour: str, setup: SetUp, there: Sequence[str], artwork: str) -> str:
    on = "" if setup.solid_tints_on is None else f" on {setup.solid_tints_on}"
    return (
        f"The order names the colour {colour}, which {artwork} doesn't show{on}:"
        f" what it says of it is not used here. It shows {several(there)}."
    )


def _is_the_shirts(colour: str, order: Order, setup: SetUp) -> bool:
    return (
        order.bare_shirt
        and not _printed_as_asked(colour, setup)
        and all(batch.colour == colour for batch in setup.batches)
    )


def _printed_as_asked(colour: str, setup: SetUp) -> bool:
    return any(c.colour == colour and c.printed for c in setup.colours)


def _of_tints(printed: Sequence[str], tints: Sequence[str], setup: SetUp) -> Iterator[str]:
    """Tell how many screens more tints made solid come to."""
    if printed:
        count, each = (
            (f"{len(printed)} new colours", "each with an ink and a screen of its own")
            if len(printed) > 1
            else ("1 new colour", "with an ink and a screen of its own")
        )
        yield (
            f"Tints are printed solid as they show on {setup.solid_tints_on}: {count}, {each}"
            f" ({several(printed)})."
        )
    elif tints:
        yield f"Tints are printed solid as they show on {setup.solid_tints_on}: no new screen."


def _of_joined(joined: Mapping[str, str], bare: Collection[str]) -> Iterator[str]:
    if not joined:
        return
    from prep.colour_difference import difference

    for colour, target in joined.items():
        becomes = (
            f"taken for {target}, which leaves the shirt bare"
            if target in bare
            else f"printed as {target}, from one screen"
        )
        yield (
            f"{colour} is {becomes}, as asked"
            f" (colour difference {difference(colour, target):.2f} by CIEDE2000; some 2 can just be seen)."
        )


def _of_left_out(left_out: Iterable[str]) -> Iterator[str]:
    for colour in left_out:
        yield (
            f"{colour} is not printed, as asked: the shirt stays bare there, whatever the artwork"
            " has beneath."
        )


def _of_bare(shirt: Iterable[str], setup: SetUp, area_mm2: Mapping[str, float]) -> Iterator[str]:
    for colour in shirt:
        names = several(dict.fromkeys(batch.garment for batch in setup.batches))
        yield (
            f"{colour} is the garments' own colour ({names}): the shirt stays bare there"
            f" ({in_cm2(area_mm2[colour])}), without a screen. To print it all the same:"
            f" --set 'colour.{colour}.printed=true', or bare_shirt = false for all colours."
        )


def _of_the_shirts_colour(colours: Iterable[str], order: Order, setup: SetUp) -> Iterator[str]:
    """Tell of colours that are printed although some shirts have them, or nearly."""
    from prep.colour_difference import difference

    shirts: dict[str, list[str]] = {}
    for batch in setup.batches:
        shirts.setdefault(batch.colour, []).append(batch.garment)
    for colour in colours:
        asked = not order.bare_shirt or _printed_as_asked(colour, setup)
        if colour in shirts:
            names = several(dict.fromkeys(shirts[colour]))
            if asked:
                yield f"{colour} is the colour of garments ({names}) and is printed all the same, as asked."
            else:
                others = several(
                    dict.fromkeys(b.garment for b in setup.batches if b.colour != colour)
                )
                yield (
                    f"{colour} is the colour of some garments ({names}), not of others ({others})"
                    f" printed with the same screens: it is printed on all. To leave the former bare,"
                    f" give them an order of their own; to leave all bare:"
                    f" --set 'colour.{colour}.printed=false'."
                )
            continue
        for shirt, garments in shirts.items():
            apart = difference(colour, shirt)
            if apart < order.near_equal and not asked:
                yield (
                    f"{colour} is printed, but can hardly be told from {shirt}, the colour of"
                    f" garments ({several(dict.fromkeys(garments))}): {apart:.2f} CIEDE2000, under"
                    f" near_equal = {order.near_equal:g}. To leave the shirt bare there:"
                    f" --set 'colour.{colour}.printed=false'."
                )


def _whites_that_stay(colours: Sequence[str], setup: SetUp, shop: Shop) -> list[str]:
    """Give the opaque whites on dark shirts: others join them, for one can be the base of the rest."""
    if setup.shade != "dark":
        return []
    kinds = {ink.name: shop.kind_of(ink) for ink in shop.inks}
    inks = ink_names(colours, setup, shop)
    usual = {colour: "opaque white" if colour == "#ffffff" else "" for colour in colours}
    return [c for c in colours if kinds.get(inks[c], usual[c]) == "opaque white"]


def _of_near_equal(
    colours: Sequence[str], order: Order, area_mm2: Mapping[str, float], whites: Sequence[str]
) -> Iterator[str]:
    from prep.colour_difference import near_equal

    for group in near_equal(colours, order.near_equal):
        least, most = f"{group.least:.2f}", f"{group.most:.2f}"
        apart = least if least == most else f"{least} to {most}"
        small, large = sorted(group.closest, key=lambda c: (c in whites, area_mm2[c]))
        such = "" if len(group.colours) == 2 else ", for instance"
        told = "can hardly be told apart"
        though = ""
        if group.ends is not None:
            told = "make a chain in which each can hardly be told from its neighbours"
            though = f"; {several(group.ends)} differ by {group.ends_apart:.2f}"
        yield (
            f"{several(group.colours)} {told} ({apart} CIEDE2000, under near_equal"
            f" = {order.near_equal:g}{though}), yet each has a screen of its own. To print two from one"
            f" screen{such}: --set 'colour.{small}.print_as={large}'."
        )


def _of_shared_inks(inks: Mapping[str, str], whites: Sequence[str]) -> Iterator[str]:
    for ink in dict.fromkeys(inks.values()):
        colours = [colour for colour, name in inks.items() if name == ink]
        if len(colours) > 1:
            kept, other, *_ = sorted(colours, key=lambda colour: colour not in whites)
            yield (
                f"{several(colours)} are printed with the same ink, {ink}, from {len(colours)}"
                f" screens. To print two from one screen:"
                f" --set 'colour.{other}.print_as={kept}'."
            )
