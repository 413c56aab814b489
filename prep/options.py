"""What the command line says, laid over the files: ``--width``, ``--shirts``, ``--set KEY=VALUE`` ..."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from prep.errors import SettingsError
from prep.hookspecs import SettingsTables
from prep.layers import DEFAULT, KeyPath, Origin, Tree, read_assignment
from prep.order import Order
from prep.plugin_tables import TOP_KEYS
from prep.refusals import keys_of, nearest
from prep.request import Request
from prep.shop import Shop
from prep.tables import Table
from prep.units import read_hex

ONE_SIZE = "one size"
"""The size of garments whose sizes nobody gave."""


def lay_artwork(tree: Tree, artwork: Path, order_file: Path | None) -> None:
    """Lay an artwork given in place of an order, or beside it, over the order's one print.

    :raises SettingsError: the order has several prints
    """
    origin = Origin("command line", str(artwork))
    prints = [path for path, _ in tree.tables("print")]
    if tree.get(("print",)) is None:
        tree.overlay(("print",), [{"artwork": str(artwork)}], origin)
    elif len(prints) == 1:
        tree.overlay((*prints[0], "artwork"), str(artwork), origin)
    elif prints:
        raise SettingsError(
            f"holds {len(prints)} prints with an artwork each; which of them {artwork.name} belongs"
            " to can't be told",
            where=str(order_file),
            do="give the order in place of the artwork",
        )


def lay_options(tree: Tree, request: Request) -> list[SettingsError]:
    """Lay ``--width``, ``--height``, ``--garment``, ``--shirts`` ... over the order.

    Sizes, colour and count speak of the one print and the one garment of a simple order; the others
    of the whole order.

    :return: what can't be done
    """
    problems = [
        _lay_size(tree, request.width, request.height),
        None if request.garment is None else _lay_garment(tree, request.garment),
        None if request.shirts is None else _lay_shirts(tree, request.shirts),
    ]
    for number, size, count in request.counts:
        _lay_count(tree, number, size, count)
    for colour, other in request.printed_as:
        _lay_printed_as(tree, colour, other)
    if request.solid_tints:
        for path, _ in tree.tables("print"):
            tree.overlay((*path, "solid_tints"), True, Origin("command line", "--solid-tints"))
    if request.no_proof:
        tree.overlay(("proof",), False, Origin("command line", "--no-proof"))
    return [problem for problem in problems if problem is not None]


def _lay_size(tree: Tree, width: str | None, height: str | None) -> SettingsError | None:
    if width is None and height is None:
        return None
    prints = [path for path, _ in tree.tables("print")]
    if len(prints) > 1:
        return SettingsError(
            f"the order holds {len(prints)} prints; which one is meant can't be told",
            where="--width" if width is not None else "--height",
            do="set width under the order's [[print]]",
        )
    for path in prints:
        # whoever gives one side lets the drawing decide the other
        if width is None:
            tree.remove((*path, "width"))
            tree.remove((*path, "width_by_size"))
        if height is None:
            tree.remove((*path, "height"))
        for key, side in (("width", width), ("height", height)):
            if side is not None:
                tree.overlay((*path, key), side, Origin("command line", f"--{key}"))
    return None


def _one_garment(tree: Tree, option: str) -> KeyPath | SettingsError | None:
    """Give the path of the one garment, made when the order has none."""
    if tree.get(("garment",)) is None:
        tree.overlay(("garment",), [{}], DEFAULT)
    garments = [path for path, _ in tree.tables("garment")]
    if len(garments) > 1:
        return SettingsError(
            f"the order holds {len(garments)} garments; which one is meant can't be told",
            where=option,
            do="change the order's [[garment]]",
        )
    return garments[0] if garments else None


def _lay_garment(tree: Tree, colour: str) -> SettingsError | None:
    path = _one_garment(tree, "--garment")
    if isinstance(path, tuple):
        tree.overlay((*path, "colour"), colour, Origin("command line", "--garment"))
        return None
    return path


def _lay_shirts(tree: Tree, shirts: int) -> SettingsError | None:
    path = _one_garment(tree, "--shirts")
    if not isinstance(path, tuple):
        return path
    sizes = tree.get((*path, "sizes"))
    if isinstance(sizes, dict) and len(sizes) > 1:
        return SettingsError(
            f"the order counts {len(sizes)} sizes; how {shirts} are shared out can't be told",
            where="--shirts",
            do="change the order's sizes",
        )
    size = next(iter(sizes)) if isinstance(sizes, dict) and sizes else ONE_SIZE
    tree.overlay((*path, "sizes", size), shirts, Origin("command line", "--shirts"))
    return None


def _lay_count(tree: Tree, number: int, size: str, count: int) -> None:
    """Lay the count of a size that the order as it was read has, or is given for want of any."""
    if tree.get(("garment",)) is None:
        tree.overlay(("garment",), [{}], DEFAULT)
    sizes = tree.get(("garment", number, "sizes"))
    written = sizes if isinstance(sizes, dict) else {}
    key = next((name for name in written if name.strip() == size), size)
    tree.overlay(("garment", number, "sizes", key), count, Origin("command line", f"size {size}"))


def _lay_printed_as(tree: Tree, colour: str, other: str) -> None:
    """Lay for a colour of all prints that it is printed as another: the rest said of it goes."""
    text = f"colour.{colour}.print_as={other}"
    parts, value, origin = read_assignment(text)
    for entry in _colour_entries(tree, parts, text):
        for key in [key for key in tree.get(entry) if key != "hex"]:
            tree.remove((*entry, key))
        tree.overlay((*entry, "print_as"), value, origin)


def lay_set(
    tree: Tree, text: str, tables: Mapping[str, SettingsTables], left_out: Iterable[str]
) -> None:
    """Lay one ``--set KEY=VALUE`` over the files.

    A plugin's key is looked for in its table of the order first, then in that of the shop. A colour's
    key is set in all prints of the order, for those whose artwork has the colour.

    :param tables: the plugins' tables
    :param left_out: names of plugins left out
    :raises SettingsError: not KEY=VALUE, or no such setting
    """
    parts, value, origin = read_assignment(text)
    if parts[0] == "colour":
        for entry in _colour_entries(tree, parts, text):
            tree.overlay((*entry, *parts[2:]), value, origin)
        return
    path = _path_of(parts, text, tables, left_out)
    for length in range(1, len(path)):
        if isinstance(tree.get(path[:length]), list):
            key = ".".join(str(part) for part in path[:length])
            raise SettingsError(
                f"{key} is a list of tables, of which --set can't change one",
                where=f"--set {text}",
                do=f"change it in its file, under [[{key.removeprefix('shop.')}]]",
            )
    tree.overlay(path, value, origin)


def _path_of(
    parts: tuple[str, ...],
    text: str,
    tables: Mapping[str, SettingsTables],
    left_out: Iterable[str],
) -> KeyPath:
    head = parts[0]
    if head in tables:
        return _plugin_path(parts, text, tables[head])
    if head in left_out:
        raise SettingsError(
            f"plugin {head} is left out by --without", where=f"--set {text}", do="drop one of them"
        )
    if head in ("print", "garment"):
        raise SettingsError(
            f"{head}s are set in order.toml, not by --set",
            where=f"--set {text}",
            do="write an order.toml, or use --width, --height, --shirts or --garment",
        )
    if head == "shop" and len(parts) == 1:
        raise SettingsError("says no key of the shop", where=f"--set {text}", do="try shop.name")
    if head == "shop" or head in keys_of(Order):
        return parts
    if head in keys_of(Shop):
        return ("shop", *parts)
    raise _no_such(text, head, {*tables, *TOP_KEYS} - {"print", "garment", "shop"})


def _plugin_path(parts: tuple[str, ...], text: str, models: SettingsTables) -> KeyPath:
    name = parts[0]
    keys: list[str] = []
    places: tuple[KeyPath, KeyPath] = (parts, ("shop", *parts))
    for model, path in zip((models.order, models.shop), places, strict=True):
        if model is None:
            continue
        keys += keys_of(model)
        if len(parts) > 1 and parts[1] in keys_of(model):
            return path
    elsewhere = [key for key in _keys_of_the_shop() if key.split(".")[1] == parts[-1]]
    raise _no_such(text, ".".join(parts), elsewhere or [f"{name}.{key}" for key in keys])


def _keys_of_the_shop() -> Iterator[str]:
    """Give the keys of the core's single tables in shop.toml, like ``press.kind``."""
    for name, field in Shop.model_fields.items():
        if isinstance(field.annotation, type) and issubclass(field.annotation, Table):
            yield from (f"{field.alias or name}.{key}" for key in keys_of(field.annotation))


def _colour_entries(tree: Tree, parts: tuple[str, ...], text: str) -> list[KeyPath]:
    """Give where a colour stands in the prints, adding it to those that don't name it."""
    if len(parts) < 3:
        raise SettingsError(
            "names no key of a colour",
            where=f"--set {text}",
            do="write it like --set 'colour.#1f3a5f.mesh=43-80'",
        )
    try:
        colour = read_hex(parts[1])
    except ValueError as error:
        what, _, do = str(error).partition("; ")
        raise SettingsError(what, where=f"--set {text}", do=do) from error
    origin = Origin("command line", "--set", text, colour)
    named: list[KeyPath] = []
    for path, printed in list(tree.tables("print")):
        there = [
            entry
            for entry, choice in tree.tables(*path, "colour")
            if _is_colour(choice.get("hex"), colour)
        ]
        named += there
        if there:
            continue
        if "colour" not in printed:
            tree.overlay((*path, "colour"), [], origin)
        if isinstance(
            printed["colour"], list
        ):  # what else it is, is told when the print is checked
            entry = (*path, "colour", len(printed["colour"]))
            tree.overlay(entry, {"hex": colour}, origin)
            named.append(entry)
    return named


def _is_colour(given: object, colour: str) -> bool:
    try:
        return read_hex(given) == colour
    except ValueError:
        return False


def _no_such(text: str, key: str, choices: Iterable[str]) -> SettingsError:
    listed = sorted(choices)
    near = nearest(key, listed)
    do = f"did you mean {near}?" if near else f"there are {', '.join(listed)}" if listed else ""
    return SettingsError(f"there is no setting {key}", where=f"--set {text}", do=do)
