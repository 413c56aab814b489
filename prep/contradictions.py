"""What no settings table can see by itself: places, sizes, meshes and inks that don't fit together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from prep.errors import SettingsError
from prep.layers import KeyPath, Tree
from prep.order import ColourChoice, Garment, Order, Print
from prep.refusals import keys_of, nearest, refusal
from prep.shop import Shop


def contradictions(tree: Tree, order: Order, shop: Shop) -> Iterator[SettingsError]:
    """Give an error for each thing an order says that doesn't fit the rest of it, or the shop."""
    places = [printed.place for printed in order.print]
    faces = [(" ".join(f.family.split()).casefold(), f.weight, f.style) for f in order.font]
    for i, (font, face) in enumerate(zip(order.font, faces, strict=True)):
        if face in faces[:i]:
            problem = f'two files are named for "{font.family}", {font.weight}, {font.style}'
            yield refusal(tree, ("font", i, "family"), problem, do="keep one", show=False)
    for i, garment in enumerate(order.garment):
        yield from _garments_prints(tree, ("garment", i, "prints"), garment.prints or (), places)
    for i, printed in enumerate(order.print):
        where: KeyPath = ("print", i, "place")
        if printed.place in places[:i]:
            yield refusal(
                tree,
                where,
                f'two prints have the place "{printed.place}"',
                do="give each a place of its own",
                show=False,
            )
            continue
        carrying = [garment for garment in order.garment if garment.carries(printed.place)]
        if not carrying:
            yield refusal(
                tree,
                where,
                f'no garment is printed at "{printed.place}"',
                do="name it in a garment's prints, or take the print out",
                show=False,
            )
        else:
            yield from _sizes(tree, ("print", i, "width_by_size"), printed, carrying)
        yield from _colours(tree, ("print", i, "colour"), printed, shop)
        if printed.solid_tints:
            yield from _tints(tree, ("print", i, "solid_tints"), order, carrying)


def _tints(
    tree: Tree, path: KeyPath, order: Order, carrying: Sequence[Garment]
) -> Iterator[SettingsError]:
    """Give an error where tints are to show on garments of a colour that was only assumed."""
    for number, garment in enumerate(order.garment):
        if garment in carrying and tree.get(("garment", number, "colour")) is None:
            problem = (
                f'tints show the garment through, and the colour of "{garment.name}" isn\'t given'
            )
            do = 'give it: --garment "#203040", or colour = "#203040" under its [[garment]]'
            yield refusal(tree, path, problem, do=do, show=False)


def _garments_prints(
    tree: Tree, path: KeyPath, prints: Sequence[str], places: Sequence[str]
) -> Iterator[SettingsError]:
    for k, place in enumerate(prints):
        if place not in places:
            problem = f'no [[print]] has the place "{place}"'
            yield refusal(tree, path, problem, do=_instead(place, places), show=False)
        elif place in prints[:k]:
            yield refusal(tree, path, f'names "{place}" twice', do="name it once", show=False)


def _sizes(
    tree: Tree, path: KeyPath, printed: Print, carrying: Sequence[Garment]
) -> Iterator[SettingsError]:
    sizes = list(dict.fromkeys(size for garment in carrying for size in garment.sizes))
    for size in printed.width_by_size_mm:
        if size not in sizes:
            problem = f'no garment printed here has the size "{size}"'
            yield refusal(tree, (*path, size), problem, do=_instead(size, sizes), show=False)


def _colours(tree: Tree, path: KeyPath, printed: Print, shop: Shop) -> Iterator[SettingsError]:
    colours = [choice.colour for choice in printed.colour]
    meshes = [mesh.name for mesh in shop.mesh]
    inks = [ink.name for ink in shop.inks]
    for j, choice in enumerate(printed.colour):
        if choice.colour in colours[:j]:
            problem = f"{choice.colour} stands in this print twice"
            yield refusal(tree, (*path, j, "hex"), problem, do="keep one", show=False)
        if choice.mesh is not None and choice.mesh not in meshes:
            problem = f'the shop has no mesh "{choice.mesh}"'
            do = _instead(choice.mesh, meshes)
            yield refusal(tree, (*path, j, "mesh"), problem, do=do, show=False)
        if choice.ink is not None and inks and choice.ink not in inks:
            problem = f'the shop lists inks, and no "{choice.ink}"'
            do = f"{_instead(choice.ink, inks)}; or add it under [[inks]] in shop.toml"
            yield refusal(tree, (*path, j, "ink"), problem, do=do, show=False)
        yield from _printed_as(tree, (*path, j), choice, printed.colour)


def _printed_as(
    tree: Tree, path: KeyPath, choice: ColourChoice, choices: Sequence[ColourChoice]
) -> Iterator[SettingsError]:
    """Give an error where a colour can't be printed as another that is printed as itself."""
    target = choice.print_as
    if target is None:
        return
    other = next((c for c in choices if c.colour == target), None)
    problem, do = "", ""
    if target == choice.colour:
        problem, do = f"{target} is this colour itself", "take print_as out"
    elif choice.printed is not None:
        problem = f"{choice.colour} also says printed = {str(choice.printed).lower()}"
        do = "keep one of them"
    elif other is not None and other.printed is False:
        problem = f"{target} is not printed itself (printed = false)"
        do = "say printed = false here too, in place of print_as"
    elif other is not None and other.print_as == choice.colour:
        problem = f"{choice.colour} and {target} are each printed as the other"
        do = "take print_as out of one of them"
    elif other is not None and other.print_as is not None:
        problem = f"{target} is printed as {other.print_as} itself"
        do = f'say print_as = "{other.print_as}" here too'
    elif unused := _unused(tree, path, choice):
        problem = f"{', '.join(unused)} of {choice.colour} would never be used"
        do = f"set it for {target} instead, or take print_as out"
    if problem:
        yield refusal(tree, (*path, "print_as"), problem, do=do, show=False)


def _unused(tree: Tree, path: KeyPath, choice: ColourChoice) -> list[str]:
    """Give keys that speak of a screen, the plugins' among them."""
    raw = tree.get(path)
    others = [key for key in raw if key not in keys_of(ColourChoice)] if raw else []
    own = [key for key in ("ink", "mesh") if getattr(choice, key) is not None]
    own += [key for key in ("passes", "strokes") if getattr(choice, key) is not None]
    return [*own, *others]


def _instead(given: str, choices: Sequence[str]) -> str:
    listed = f"there are {', '.join(choices)}"
    near = nearest(given, choices)
    return f'did you mean "{near}"? {listed}' if near and len(choices) > 1 else listed
