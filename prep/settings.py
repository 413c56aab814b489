"""Reads the settings of an order: embedded defaults, shop.toml, order.toml and command line, layered.

loaded = load(Request(Path("order.toml")), tables)
for setup in loaded.setups:
    chosen = loaded.chosen_for(setup)
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal, TypeVar

from pydantic import ValidationError

from prep.artwork import PrintSize
from prep.errors import InputError, PluginFailed, SettingsError
from prep.hookspecs import SettingsTables
from prep.in_force import Leaf, Nodes, nodes_of, origins_of, raw_node, write_toml
from prep.job import Chosen
from prep.layers import (
    DEFAULT,
    KeyPath,
    Layer,
    Origin,
    Tree,
    missing_file,
    read_assignment,
    read_toml,
)
from prep.order import ColourChoice, Garment, Order, Print, SetUp
from prep.refusals import keys_of, nearest, one_error, refusal, refusals
from prep.request import Request
from prep.setups import expand, shade_of
from prep.shop import Shop
from prep.tables import Table
from prep.units import read_hex

Model = TypeVar("Model", bound=Table)
Kind = Literal["order", "shop", "colour"]

USUAL_SHIRTS = 24
ONE_SIZE = "one size"
_TOP_KEYS = frozenset({*keys_of(Order), *keys_of(Shop), "shop", "colour"})
_TEXT_IN_DISGUISE = frozenset({"string_type", "value_error"})


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """An order and a shop, checked, with the plugins' tables.

    :param setups: the order expanded
    :param assumed: what was assumed since nobody said, whole sentences
    :param notes: what else is worth knowing of the reading, whole sentences
    """

    order: Order
    shop: Shop
    setups: tuple[SetUp, ...]
    assumed: tuple[str, ...]
    notes: tuple[str, ...]
    _plugins: _PluginTables
    _tree: Tree
    _origins: Mapping[str, Layer]

    def chosen_for(self, setup: SetUp) -> Chosen:
        """Give the plugins' settings in force for one set-up.

        ``origins`` has the dotted path of every setting: ``shop.film.thickness``, ``shop.ink.k`` for
        a plugin's table in shop.toml, ``ink.reserve`` for its table in order.toml,
        ``colour.#1f3a5f.mesh`` for a colour of this set-up's print, ``name``, ``width``, ``height``,
        ``garment[1].colour``.
        """
        number = self._print_number(setup)
        origins = {
            key: layer for key, layer in self._origins.items() if not key.startswith("print[")
        }
        here = f"print[{number + 1}]."
        for key, layer in self._origins.items():
            if key.startswith(here) and not key.startswith(f"{here}colour["):
                origins[key.removeprefix(here)] = layer
        for j, choice in enumerate(setup.colours):
            one = f"{here}colour[{j + 1}]."
            for key, layer in self._origins.items():
                if key.startswith(one):
                    origins[f"colour.{choice.colour}.{key.removeprefix(one)}"] = layer
        by_colour = {
            (type(table), colour): table
            for (place, colour, _), table in self._plugins.by_colour.items()
            if place == setup.place
        }
        tables = {type(table): table for table in self._plugins.tables}
        return Chosen(tables=tables, by_colour=by_colour, origins=origins)

    def in_force(self, setup: SetUp | None = None, *, folder: Path | None = None) -> str:
        """Write every setting in force as the text of an order.toml.

        Read again, it gives the same settings; for one set-up, that set-up alone.

        :param folder: where the file will lie, so that artworks are named from there; without it
            they are named by their full paths
        """
        nodes: Nodes = {"name": Leaf(self.order.name, self._tree.layer_of(("name",)))}
        nodes.update(self._plugin_nodes("order"))
        shop = nodes_of(self.shop, ("shop",), self._tree)
        shop.update(self._plugin_nodes("shop"))
        nodes["shop"] = shop
        numbers = range(len(self.order.print))
        only = None if setup is None else self._print_number(setup)
        nodes["print"] = [
            self._print_nodes(i, setup, folder) for i in numbers if only is None or i == only
        ]
        garments = []
        for i, garment in enumerate(self.order.garment):
            kept = garment if setup is None else _part_of(garment, self.order, setup, self.shop)
            if kept is not None:
                garments.append(nodes_of(kept, ("garment", i), self._tree))
        nodes["garment"] = garments
        part = "" if setup is None else f" for {setup.name}"
        head = f"Every setting in force{part}; behind each, where it came from."
        return write_toml(nodes, head=head)

    def _print_number(self, setup: SetUp) -> int:
        return [printed.place for printed in self.order.print].index(setup.place)

    def _print_nodes(self, i: int, setup: SetUp | None, folder: Path | None) -> Nodes:
        printed, path = self.order.print[i], ("print", i)
        nodes = nodes_of(printed, path, self._tree)
        artwork = _named_from(printed.artwork, folder)
        nodes["artwork"] = Leaf(artwork, self._tree.layer_of((*path, "artwork")))
        if setup is not None:
            layer = self._tree.layer_of((*path, "width_by_size"))
            del nodes["width_by_size"]
            for key, side in (("width", setup.size.width_mm), ("height", setup.size.height_mm)):
                if side is None:
                    nodes.pop(key, None)
                elif side != {"width": printed.width_mm, "height": printed.height_mm}[key]:
                    nodes[key] = Leaf(f"{side:.12g} mm", layer)
        colours = nodes["colour"]
        if isinstance(colours, list):
            for j, choice in enumerate(printed.colour):
                colours[j].update(self._colour_nodes(i, j, printed.place, choice.colour))
        return nodes

    def _plugin_nodes(self, kind: Kind) -> Nodes:
        path: KeyPath = ("shop",) if kind == "shop" else ()
        nodes: Nodes = {}
        for (name, of), table in self._plugins.named.items():
            if of == kind:
                nodes[name] = nodes_of(table, (*path, name), self._tree)
        for name in self._plugins.left_out:
            raw = self._tree.get((*path, name))
            if raw is not None:
                nodes[name] = raw_node(raw, (*path, name), self._tree)
        return nodes

    def _colour_nodes(self, i: int, j: int, place: str, colour: str) -> Nodes:
        path: KeyPath = ("print", i, "colour", j)
        nodes: Nodes = {}
        for (where, of, name), table in self._plugins.by_colour.items():
            if (where, of) == (place, colour):
                nodes[name] = nodes_of(table, (*path, name), self._tree)
        for name in self._plugins.left_out:
            raw = self._tree.get((*path, name))
            if raw is not None and name not in keys_of(ColourChoice):
                nodes[name] = raw_node(raw, (*path, name), self._tree)
        return nodes


@dataclass(slots=True)
class _PluginTables:
    """The plugins' tables as read.

    :param left_out: names whose tables nobody reads
    :param named: (plugin's name, kind) -> table
    :param by_colour: (place, colour, plugin's name) -> table
    """

    left_out: tuple[str, ...]
    named: dict[tuple[str, Kind], Table] = field(default_factory=dict)
    by_colour: dict[tuple[str, str, str], Table] = field(default_factory=dict)

    @property
    def tables(self) -> Iterable[Table]:
        """Tables of the whole job."""
        return self.named.values()


def load(request: Request, tables: Mapping[str, SettingsTables]) -> Loaded:
    """Read and check everything that was set.

    :param tables: plugin's name -> the settings tables it declares
    :raises SettingsError: a wrong file, key, value or unit; ``lines()`` tells the first few
    :raises InputError: an artwork that isn't there
    :raises PluginFailed: a plugin's tables can't be told from the core's or another's
    """
    _check_tables(tables)
    return _Loading(request, tables).load()


def _check_tables(tables: Mapping[str, SettingsTables]) -> None:
    known: dict[type[Table], str] = {}
    for name, models in tables.items():
        if name in _TOP_KEYS and (models.shop or models.order):
            raise PluginFailed(name, f"its settings table [{name}] has the name of a setting")
        if name in keys_of(ColourChoice) and models.colour:
            raise PluginFailed(
                name, f"its table for each colour has the name of the setting {name} of a colour"
            )
        for model in (models.shop, models.order, models.colour):
            if model is None:
                continue
            if not (isinstance(model, type) and issubclass(model, Table)):
                raise PluginFailed(name, f"declares {model!r} as a settings table")
            if model in known:
                raise PluginFailed(
                    name, f"{model.__name__} is declared twice, by {known[model]} too"
                )
            known[model] = name
            try:
                model()
            except ValidationError as error:
                key = ".".join(str(part) for part in error.errors()[0]["loc"])
                raise PluginFailed(
                    name, f"its settings {model.__name__} need a default for {key}"
                ) from error


class _Loading:
    """One reading, step by step; collects problems so that the first few are told together."""

    def __init__(self, request: Request, tables: Mapping[str, SettingsTables]) -> None:
        self.request, self.tables = request, tables
        self.tree = Tree()
        self.problems: list[SettingsError] = []
        self.assumed: list[str] = []
        self.notes: list[str] = []
        left_out = {name for name in request.without if name not in tables}
        self.plugins = _PluginTables(tuple(sorted(left_out - _TOP_KEYS)))
        is_order = request.source.suffix.lower() == ".toml"
        if is_order and request.order is not None:
            raise SettingsError(
                "two orders were given", where=f"--order {request.order}", do="give one of them"
            )
        self.order_file = request.source if is_order else request.order
        self.artwork = None if is_order else request.source

    def load(self) -> Loaded:
        self._read_files()
        self._lay_artwork()
        self._lay_options()
        for text in self.request.sets:
            self._lay_set(text)
        self._stop_at_problems()
        self._fill_in()
        order, shop = self._order(), self._shop()
        if order is None or shop is None or self.problems:
            raise one_error(self.problems)
        self.problems += _contradictions(self.tree, order, shop)
        self._stop_at_problems()
        order = self._with_artworks(order)
        setups = expand(order, dark_below=shop.dark_below)
        self._say_assumptions(order, shop, setups)
        return Loaded(
            order=order,
            shop=shop,
            setups=setups,
            assumed=tuple(self.assumed),
            notes=tuple(self.notes),
            _plugins=self.plugins,
            _tree=self.tree,
            _origins=dict(self._origins(order, shop)),
        )

    def _stop_at_problems(self) -> None:
        if self.problems:
            raise one_error(self.problems)

    # files -------------------------------------------------------------------------------------

    def _read_files(self) -> None:
        if self.artwork is not None:
            problem = missing_file(self.artwork)
            if problem is not None:
                raise InputError(problem, where=str(self.artwork), do="check the artwork's name")
        order = None
        if self.order_file is not None:
            order = read_toml(self.order_file, what="order")
        beside = (self.order_file or self.request.source).parent / "shop.toml"
        shop_file = self.request.shop
        if shop_file is None and beside != self.order_file and missing_file(beside) is None:
            shop_file = beside
            self.notes.append(f"Shop settings were read from {beside}.")
        if shop_file is not None:
            shop = read_toml(shop_file, what="shop")
            self.tree.overlay(("shop",), {}, Origin("shop.toml", str(shop_file)))
            self.tree.overlay(("shop",), shop, Origin("shop.toml", str(shop_file)))
        if order is not None:
            self.tree.overlay((), order, Origin("order.toml", str(self.order_file)))

    def _lay_artwork(self) -> None:
        if self.artwork is None:
            return
        option = Origin("command line", str(self.artwork))
        prints = list(self.tree.tables("print"))
        if not prints and self.tree.get(("print",)) is None:
            self.tree.overlay(("print",), [{"artwork": str(self.artwork)}], option)
        elif len(prints) == 1:
            self.tree.overlay(("print", 0, "artwork"), str(self.artwork), option)
        elif prints:
            raise SettingsError(
                f"holds {len(prints)} prints, each with its artwork, and can't be told which one"
                f" {self.artwork.name} is",
                where=str(self.order_file),
                do="give the order in place of the artwork",
            )

    # command line --------------------------------------------------------------------------------

    def _lay_options(self) -> None:
        request = self.request
        if request.width is not None or request.height is not None:
            self._lay_size(request.width, request.height)
        if request.garment is not None:
            self._lay_garment("--garment", "colour", request.garment)
        if request.shirts is not None:
            self._lay_shirts(request.shirts)

    def _lay_size(self, width: str | None, height: str | None) -> None:
        option = "--width" if width is not None else "--height"
        prints = list(self.tree.tables("print"))
        if len(prints) > 1:
            self.problems.append(
                SettingsError(
                    f"{self.order_file} holds {len(prints)} prints, and which one is meant can't be"
                    " told",
                    where=option,
                    do="set width in the order's [[print]]",
                )
            )
            return
        for path, _ in prints:
            # whoever gives one side lets the drawing decide the other
            if width is None:
                self.tree.remove((*path, "width"))
                self.tree.remove((*path, "width_by_size"))
            if height is None:
                self.tree.remove((*path, "height"))
            for key, side in (("width", width), ("height", height)):
                if side is not None:
                    self.tree.overlay((*path, key), side, Origin("command line", f"--{key}"))

    def _only_garment(self, option: str) -> KeyPath | None:
        """Give the path of the one garment, made when the order has none."""
        if self.tree.get(("garment",)) is None:
            self.tree.overlay(("garment",), [{}], DEFAULT)
        garments = list(self.tree.tables("garment"))
        if len(garments) > 1:
            self.problems.append(
                SettingsError(
                    f"{self.order_file} holds {len(garments)} garments, and which one is meant can't"
                    " be told",
                    where=option,
                    do="change the order's [[garment]]",
                )
            )
        return garments[0][0] if len(garments) == 1 else None

    def _lay_garment(self, option: str, key: str, value: object) -> None:
        path = self._only_garment(option)
        if path is not None:
            self.tree.overlay((*path, key), value, Origin("command line", option))

    def _lay_shirts(self, shirts: int) -> None:
        path = self._only_garment("--shirts")
        if path is None:
            return
        option = Origin("command line", "--shirts")
        sizes = self.tree.get((*path, "sizes"))
        if isinstance(sizes, dict) and len(sizes) > 1:
            self.problems.append(
                SettingsError(
                    f"{self.order_file} counts {len(sizes)} sizes, and how {shirts} are shared out"
                    " can't be told",
                    where="--shirts",
                    do="change the order's sizes",
                )
            )
            return
        size = next(iter(sizes)) if isinstance(sizes, dict) and sizes else ONE_SIZE
        self.tree.overlay((*path, "sizes", size), shirts, option)

    def _lay_set(self, text: str) -> None:
        try:
            parts, value, origin = read_assignment(text)
            path = self._path_of(parts, text)
        except SettingsError as error:
            self.problems.append(error)
            return
        if path is not None:
            self.tree.overlay(path, value, origin)
            return
        for place in self._colour_entries(parts, text):
            self.tree.overlay(place, value, origin)

    def _path_of(self, parts: tuple[str, ...], text: str) -> KeyPath | None:
        """Give where a setting of ``--set`` belongs; ``None`` for one of a colour."""
        head = parts[0]
        if head == "colour":
            return None
        if head in self.tables:
            return self._plugin_path(parts, text)
        if head in self.plugins.left_out:
            raise SettingsError(
                f"plugin {head} is left out by --without",
                where=f"--set {text}",
                do="drop one of them",
            )
        if head == "shop" and len(parts) > 1:
            return parts
        if head in ("print", "garment"):
            raise SettingsError(
                f"{head}s are set in order.toml",
                where=f"--set {text}",
                do="or by --width, --height, --shirts, --garment and --set colour.#1f3a5f.KEY",
            )
        if head in keys_of(Order):
            return parts
        if head in keys_of(Shop):
            return ("shop", *parts)
        raise _no_such_set(text, head, {*self.tables, *_TOP_KEYS} - {"print", "garment"})

    def _plugin_path(self, parts: tuple[str, ...], text: str) -> KeyPath:
        name, models = parts[0], self.tables[parts[0]]
        keys: list[str] = []
        for model, path in ((models.order, parts), (models.shop, ("shop", *parts))):
            if model is None:
                continue
            keys += keys_of(model)
            if len(parts) > 1 and parts[1] in keys_of(model):
                return path
        if len(parts) > 1 or not keys:
            raise _no_such_set(text, ".".join(parts), [f"{name}.{key}" for key in keys])
        raise SettingsError(
            f"{name} is a table of settings",
            where=f"--set {text}",
            do=f"say which: {', '.join(f'{name}.{key}' for key in keys)}",
        )

    def _colour_entries(self, parts: tuple[str, ...], text: str) -> Iterator[KeyPath]:
        """Give where a setting of one colour stands in each print, adding the colour where needed.

        A colour some prints of the order name is set in those; one that none names, in all.
        """
        where = f"--set {text}"
        if len(parts) < 3:
            example = "write it like --set 'colour.#1f3a5f.mesh=43-80'"
            self.problems.append(SettingsError("names no key of a colour", where=where, do=example))
            return
        try:
            colour = read_hex(parts[1])
        except ValueError as error:
            what, _, do = str(error).partition("; ")
            self.problems.append(SettingsError(what, where=where, do=do))
            return
        named: list[KeyPath] = []
        for path, _ in self.tree.tables("print"):
            named += [
                entry
                for entry, choice in self.tree.tables(*path, "colour")
                if _same_colour(choice.get("hex"), colour)
            ]
        if not named:
            origin = Origin("command line", "--set", text, colour)
            for path, printed in list(self.tree.tables("print")):
                if not isinstance(printed.get("colour", []), list):
                    continue  # told when the print is checked
                if "colour" not in printed:
                    self.tree.overlay((*path, "colour"), [], origin)
                entry = (*path, "colour", len(printed["colour"]))
                self.tree.overlay(entry, {"hex": colour}, origin)
                named.append(entry)
        for entry in named:
            yield (*entry, *parts[2:])

    # defaults and checks -------------------------------------------------------------------------

    def _fill_in(self) -> None:
        """Fill in what an order must have and nobody gave."""
        tree = self.tree
        if tree.get(("garment",)) is None:
            tree.overlay(("garment",), [{}], DEFAULT)
        for path, garment in list(tree.tables("garment")):
            if "sizes" not in garment:
                tree.overlay((*path, "sizes"), {ONE_SIZE: USUAL_SHIRTS}, DEFAULT)
        if tree.get(("name",)) is None:
            first = next((printed.get("artwork") for _, printed in tree.tables("print")), None)
            stem = Path(first).stem.strip() if isinstance(first, str) else ""
            if stem:
                tree.overlay(("name",), stem[:80], DEFAULT)

    def _order(self) -> Order | None:
        raw = dict(self.tree.values)
        raw.pop("shop", None)
        if "print" not in raw:
            self.problems.append(
                SettingsError(
                    "has no [[print]]",
                    where=str(self.order_file),
                    do='add [[print]] and under it artwork = "front.svg"',
                )
            )
            return None
        core = self._without_plugins(raw, (), "order", keys_of(Order))
        if isinstance(core.get("print"), list):
            core["print"] = [
                self._print_core(printed, ("print", i)) if isinstance(printed, dict) else printed
                for i, printed in enumerate(core["print"])
            ]
        also = {name for name, models in self.tables.items() if models.order} | {"shop"}
        return self._checked(Order, core, (), also)

    def _print_core(self, printed: dict[str, Any], path: KeyPath) -> dict[str, Any]:
        """Give a print without the plugins' tables of its colours, which are checked here."""
        if not isinstance(printed.get("colour"), list):
            return printed
        place = printed.get("place", "front")
        colours = []
        for j, choice in enumerate(printed["colour"]):
            if isinstance(choice, dict):
                where = (*path, "colour", j)
                choice = self._without_plugins(choice, where, "colour", keys_of(ColourChoice))
                self._check_colour_tables(where, place, choice.get("hex"))
            colours.append(choice)
        return {**printed, "colour": colours}

    def _check_colour_tables(self, path: KeyPath, place: object, given: object) -> None:
        try:
            colour = read_hex(given)
        except ValueError:
            return  # told with the colour itself
        for name, models in self.tables.items():
            raw = self.tree.get((*path, name))
            if models.colour is None or raw is None:
                continue
            table = self._checked(models.colour, raw, (*path, name))
            if table is not None and isinstance(place, str):
                self.plugins.by_colour[place.strip(), colour, name] = table

    def _shop(self) -> Shop | None:
        raw = self.tree.values.get("shop", {})
        if not isinstance(raw, dict):
            return self._checked(Shop, raw, ("shop",))
        core = self._without_plugins(raw, ("shop",), "shop", keys_of(Shop))
        for name, models in self.tables.items():
            for kind, model, path in (
                ("order", models.order, (name,)),
                ("shop", models.shop, ("shop", name)),
            ):
                if model is None:
                    continue
                given = self.tree.get(path)
                table = self._checked(model, {} if given is None else given, path)
                if table is not None:
                    self.plugins.named[name, kind] = table  # type: ignore[index]  # kind is one of Kind
        also = {name for name, models in self.tables.items() if models.shop}
        return self._checked(Shop, core, ("shop",), also)

    def _without_plugins(
        self, raw: dict[str, Any], path: KeyPath, kind: Kind, core: tuple[str, ...]
    ) -> dict[str, Any]:
        """Give a table without the plugins' own, telling those that don't belong here."""
        kept = {}
        for key, value in raw.items():
            if key in core:
                kept[key] = value
            elif key in self.plugins.left_out:
                continue
            elif key in self.tables:
                if getattr(self.tables[key], kind) is None:
                    self.problems.append(self._misplaced(key, (*path, key)))
            elif isinstance(value, dict):
                self.problems.append(self._no_plugin(key, (*path, key), kind, core))
            else:
                kept[key] = value
        return kept

    def _misplaced(self, name: str, path: KeyPath) -> SettingsError:
        models = self.tables[name]
        places = [
            spelt
            for model, spelt in (
                (models.shop, f"[{name}] in shop.toml or [shop.{name}] in order.toml"),
                (models.order, f"[{name}] in order.toml"),
                (models.colour, f"[print.colour.{name}] in order.toml"),
            )
            if model is not None
        ]
        where = f"its settings stand in {' and '.join(places)}" if places else "it has no settings"
        return refusal(self.tree, path, f"plugin {name} has no table here", do=where, show=False)

    def _no_plugin(
        self, name: str, path: KeyPath, kind: Kind, core: tuple[str, ...]
    ) -> SettingsError:
        own = [n for n, models in self.tables.items() if getattr(models, kind) is not None]
        near = nearest(name, [*core, *own])
        return refusal(
            self.tree,
            path,
            f"there is no such table, and no plugin called {name} is installed",
            do=f"did you mean {near}?" if near else f"install the plugin, or say --without {name}",
            show=False,
        )

    def _checked(
        self, model: type[Model], raw: Any, path: KeyPath, also: Iterable[str] = ()
    ) -> Model | None:
        try:
            return model.model_validate_json(json.dumps(raw, default=str), strict=True)
        except ValidationError as error:
            mended = self._as_text(raw, path, error)
            if mended:
                return self._checked(model, raw, path, also)
            self.problems += refusals(self.tree, model, path, error, also)
            return None

    def _as_text(self, raw: Any, path: KeyPath, error: ValidationError) -> bool:
        """Take values of ``--set`` that look like numbers as the text they were typed as."""
        mended = False
        for detail in error.errors():
            whole = (*path, *detail["loc"])
            origin, given = self.tree.origin(whole), self.tree.get(whole)
            typed = origin.typed is not None and not isinstance(given, str | dict | list)
            if typed and given is not None and detail["type"] in _TEXT_IN_DISGUISE:
                holder = raw
                for part in detail["loc"][:-1]:
                    holder = holder[part]
                holder[detail["loc"][-1]] = origin.value
                self.tree.overlay(whole, origin.value, origin)
                mended = True
        return mended

    # after the checks ----------------------------------------------------------------------------

    def _with_artworks(self, order: Order) -> Order:
        """Give the order with full paths of its artworks, each of which is there."""
        prints = []
        for i, printed in enumerate(order.print):
            path = ("print", i, "artwork")
            from_order = self.tree.layer_of(path) == "order.toml" and self.order_file is not None
            base = self.order_file.parent if from_order and self.order_file else Path()
            found = base / printed.artwork
            problem = missing_file(found)
            if problem is None and not str(found).isprintable():
                problem = "its name holds signs that can't be shown"
            if problem is not None:
                error = refusal(self.tree, path, problem)
                raise InputError(error.what, where=error.where, do=f"looked for {found}")
            prints.append(printed.model_copy(update={"artwork": Path(os.path.abspath(found))}))
        return order.model_copy(update={"print": tuple(prints)})

    def _say_assumptions(self, order: Order, shop: Shop, setups: tuple[SetUp, ...]) -> None:
        say = self.assumed.append
        for i, garment in enumerate(order.garment):
            path = ("garment", i)
            named = "" if len(order.garment) == 1 else f' "{garment.name}"'
            if self.tree.origin((*path, "sizes")) is DEFAULT:
                say(f"Assumed {USUAL_SHIRTS} garments{named}, as nobody said how many (--shirts).")
            if self.tree.get((*path, "colour")) is None:
                say(f"Assumed a white garment{named}, as nobody said its colour (--garment).")
            if self.tree.get((*path, "fibre")) is None:
                say(f"Assumed garments{named} of {garment.fibre}, as nobody said the fibre.")
        for place in dict.fromkeys(s.place for s in setups if s.size == PrintSize()):
            say(
                f"Assumed the size the artwork states for {place}, as nobody gave a width (--width)."
            )
        if not isinstance(self.tree.get(("shop",)), dict):
            meshes = ", ".join(mesh.name for mesh in shop.mesh)
            say(
                f"Assumed a usual shop, as there is no shop.toml: meshes {meshes}, film of"
                f" {shop.film.thickness_um:g} um, {shop.press.kind}."
            )

    def _origins(self, order: Order, shop: Shop) -> Iterator[tuple[str, Layer]]:
        tree = self.tree
        yield from origins_of(nodes_of(order, (), tree))
        yield from origins_of(nodes_of(shop, ("shop",), tree), ("shop",))
        for (name, kind), table in self.plugins.named.items():
            path: KeyPath = ("shop", name) if kind == "shop" else (name,)
            yield from origins_of(nodes_of(table, path, tree), path)
        for i, printed in enumerate(order.print):
            for j, choice in enumerate(printed.colour):
                for (place, colour, name), table in self.plugins.by_colour.items():
                    if (place, colour) == (printed.place, choice.colour):
                        path = ("print", i, "colour", j, name)
                        yield from origins_of(nodes_of(table, path, tree), path)


def _no_such_set(text: str, key: str, choices: Iterable[str]) -> SettingsError:
    listed = sorted(choices)
    near = nearest(key, listed)
    do = f"did you mean {near}?" if near else f"there are {', '.join(listed)}" if listed else ""
    return SettingsError(f"there is no setting {key}", where=f"--set {text}", do=do)


def _same_colour(given: object, colour: str) -> bool:
    try:
        return read_hex(given) == colour
    except ValueError:
        return False


def _contradictions(tree: Tree, order: Order, shop: Shop) -> Iterator[SettingsError]:
    """Give what no table can see by itself."""
    places = [printed.place for printed in order.print]
    for i, garment in enumerate(order.garment):
        for k, place in enumerate(garment.prints or ()):
            where = ("garment", i, "prints")
            if place not in places:
                near = nearest(place, places)
                do = f"did you mean {near}?" if near else f"there are {', '.join(places)}"
                yield refusal(
                    tree, where, f'no [[print]] has the place "{place}"', do=do, show=False
                )
            elif place in (garment.prints or ())[:k]:
                yield refusal(tree, where, f'names "{place}" twice', show=False)
    for i, printed in enumerate(order.print):
        path: KeyPath = ("print", i)
        if printed.place in places[:i]:
            yield refusal(
                tree,
                (*path, "place"),
                f'two prints have the place "{printed.place}"',
                do="give each a place of its own",
                show=False,
            )
            continue
        carrying = [garment for garment in order.garment if garment.carries(printed.place)]
        if not carrying:
            yield refusal(
                tree,
                (*path, "place"),
                f'no garment is printed at "{printed.place}"',
                do="name it in a garment's prints, or take the print out",
                show=False,
            )
        yield from _print_contradictions(tree, path, printed, carrying, shop)


def _print_contradictions(
    tree: Tree, path: KeyPath, printed: Print, carrying: list[Garment], shop: Shop
) -> Iterator[SettingsError]:
    sizes = list(dict.fromkeys(size for garment in carrying for size in garment.sizes))
    for size in printed.width_by_size_mm if carrying else ():
        if size not in sizes:
            near = nearest(size, sizes)
            yield refusal(
                tree,
                (*path, "width_by_size", size),
                f'no garment printed here has the size "{size}"',
                do=f'did you mean "{near}"?' if near else f"sizes are {', '.join(sizes)}",
                show=False,
            )
    colours = [choice.colour for choice in printed.colour]
    meshes = [mesh.name for mesh in shop.mesh]
    for j, choice in enumerate(printed.colour):
        entry = (*path, "colour", j)
        if choice.colour in colours[:j]:
            yield refusal(
                tree,
                (*entry, "hex"),
                f"{choice.colour} stands there twice",
                do="keep one",
                show=False,
            )
        if choice.mesh is not None and choice.mesh not in meshes:
            near = nearest(choice.mesh, meshes)
            guess = f"did you mean {near}? " if near else ""
            yield refusal(
                tree,
                (*entry, "mesh"),
                f'the shop has no mesh "{choice.mesh}"',
                do=f"{guess}it has {', '.join(meshes)}",
                show=False,
            )


def _part_of(garment: Garment, order: Order, setup: SetUp, shop: Shop) -> Garment | None:
    """Give what a set-up prints of a garment, ``None`` when nothing."""
    printed = next(p for p in order.print if p.place == setup.place)
    shade = shade_of(garment.colour, dark_below=shop.dark_below)
    if shade != setup.shade or not garment.carries(setup.place):
        return None
    sizes = {s: n for s, n in garment.sizes.items() if printed.size_for(s) == setup.size}
    if not sizes:
        return None
    return garment.model_copy(update={"sizes": sizes, "prints": (setup.place,)})


def _named_from(artwork: Path, folder: Path | None) -> str:
    if folder is None:
        return artwork.as_posix()
    try:
        return Path(os.path.relpath(artwork, folder)).as_posix()
    except ValueError:  # another drive
        return artwork.as_posix()
