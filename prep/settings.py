"""Reads the settings of an order: embedded defaults, shop.toml, order.toml and command line, layered.

loaded = load(Request(Path("order.toml")), tables)
for setup in loaded.setups:
    chosen = loaded.chosen_for(setup)
"""

from __future__ import annotations

import copy
import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from prep.artwork import PrintSize
from prep.contradictions import contradictions
from prep.errors import InputError, SettingsError
from prep.hookspecs import SettingsTables
from prep.layers import DEFAULT, KeyPath, Origin, Tree, missing_file, read_toml
from prep.loaded import Loaded, LoadedShop
from prep.options import ONE_SIZE, lay_artwork, lay_options, lay_set
from prep.order import ColourChoice, Order, SetUp
from prep.phrases import several
from prep.plugin_tables import TOP_KEYS, Kind, PluginTables, check_declared
from prep.refusals import keys_of, nearest, one_error, refusal, refusals
from prep.request import Request
from prep.setups import expand
from prep.shop import Shop
from prep.tables import Table, of_shop_only
from prep.units import read_hex

__all__ = ["Loaded", "LoadedShop", "load", "load_shop"]

Model = TypeVar("Model", bound=Table)

USUAL_SHIRTS = 24
_CORE: Mapping[Kind, type[Table]] = {"order": Order, "shop": Shop, "colour": ColourChoice}
_TEXT_IN_DISGUISE = frozenset({"string_type", "value_error"})


Learn = Callable[[Mapping[str, Any]], Iterable[tuple[str, Mapping[str, Any]]]]
"""From shop.toml as it is written to what each plugin has learnt here, in the same shape, by its name."""


def load(
    request: Request, tables: Mapping[str, SettingsTables], learn: Learn | None = None
) -> Loaded:
    """Read and check everything that was set.

    :param tables: plugin's name -> the settings tables it declares
    :param learn: asked for what was measured here, which is laid over the defaults and under shop.toml
    :raises SettingsError: a wrong file, key, value or unit; ``lines()`` tells the first few
    :raises InputError: an artwork that isn't there
    :raises PluginFailed: a plugin's tables can't be told from the core's or another's
    """
    check_declared(tables)
    return _Loading(request, tables, learn).load()


def load_shop(
    shop: Path | None,
    tables: Mapping[str, SettingsTables],
    *,
    sets: Iterable[str] = (),
    without: Iterable[str] = (),
) -> LoadedShop:
    """Read and check a shop alone, for what is done without an order.

    :param shop: its file; ``None`` = ``shop.toml`` in the current folder, if there is one
    :param tables: plugin's name -> the settings tables it declares
    :param sets: settings of the shop as written, like ``balance.readability=0.01 g``
    :param without: names of plugins left out
    :raises SettingsError: a wrong file, key, value or unit, or a setting that speaks of an order
    :raises PluginFailed: a plugin's tables can't be told from the core's or another's
    """
    check_declared(tables)
    request = Request(Path("order"), shop=shop, sets=tuple(sets), without=tuple(without))
    return _Loading(request, tables).load_shop()


class _Loading:
    """One reading, step by step; collects problems so that the first few are told together."""

    def __init__(
        self,
        request: Request,
        tables: Mapping[str, SettingsTables],
        learn: Learn | None = None,
    ) -> None:
        self.request, self.tables, self.learn = request, tables, learn
        self.tree = Tree()
        self.problems: list[SettingsError] = []
        self.notes: list[str] = []
        left_out = {name for name in request.without if name not in tables}
        self.plugins = PluginTables(tuple(sorted(left_out - TOP_KEYS)))
        is_order = request.source.suffix.lower() == ".toml"
        if is_order and request.order is not None:
            raise SettingsError(
                f"{request.source} is an order already",
                where=f"--order {request.order}",
                do="give one of them",
            )
        self.order_file = request.source if is_order else request.order
        self.artwork = None if is_order else request.source

    def load(self) -> Loaded:
        self._read_files()
        if self.artwork is not None:
            lay_artwork(self.tree, self.artwork, self.order_file)
        self._lay_command_line()
        self._stop_at_problems()
        self._fill_in()
        self._forget_what_is_not_in_stock()
        order, shop = self._order(), self._shop()
        self._plugin_tables()
        if order is None or shop is None or self.problems:
            raise one_error(self.problems)
        self.problems += contradictions(self.tree, order, shop)
        self._stop_at_problems()
        order = self._with_files(order)
        setups = expand(order, dark_below=shop.dark_below)
        return Loaded(
            order=order,
            shop=shop,
            setups=setups,
            assumed=tuple(_assumptions(self.tree, order, shop, setups)),
            notes=(*self.notes, *filter(None, [shop.press.measured_here])),
            _plugins=self.plugins,
            _tree=self.tree,
        )

    def load_shop(self) -> LoadedShop:
        self._read_shop(Path("shop.toml"))
        for text in self.request.sets:
            self._lay_set(text)
            of_orders = [key for key in self.tree.values if key != "shop"]
            if of_orders or text.partition(".")[0].strip() == "colour":
                problem = "speaks of an order, and there is none here"
                do = "leave it out, or set something of the shop"
                self.problems.append(SettingsError(problem, where=f"--set {text}", do=do))
            for key in of_orders:
                self.tree.remove((key,))
        self._stop_at_problems()
        shop = self._shop()
        self._plugin_tables()
        if shop is None or self.problems:
            raise one_error(self.problems)
        return LoadedShop(shop, tuple(self.notes), self.plugins, self.tree)

    def _stop_at_problems(self) -> None:
        if self.problems:
            raise one_error(self.problems)

    def _read_files(self) -> None:
        if self.artwork is not None:
            problem = missing_file(self.artwork)
            if problem is not None:
                raise InputError(problem, where=str(self.artwork), do="check the artwork's name")
            if _is_empty(self.artwork):
                raise InputError("is empty", where=str(self.artwork), do="export it again")
        order = None
        if self.order_file is not None:
            order = read_toml(self.order_file, what="order")
        stated = {} if order is None else order.get("shop")
        self._read_shop((self.order_file or self.request.source).parent / "shop.toml", stated)
        if order is not None:
            self._leave_to_shop(order)
            self.tree.overlay((), order, Origin("order.toml", str(self.order_file)))

    def _leave_to_shop(self, order: Mapping[str, Any]) -> None:
        """Take out of an order what only shop.toml has a say in, and note it."""
        stated = _table(order.get("shop"))
        for name, models in self.tables.items():
            own = stated.get(name)
            if not isinstance(own, dict):
                continue  # refused when the tables are checked
            for key in of_shop_only(models.shop):
                if own.pop(key, None) is not None:
                    self.notes.append(
                        f"shop.{name}.{key} of {self.order_file} isn't used: only shop.toml says that."
                    )

    def _read_shop(self, beside: Path, stated: Any = None) -> None:
        """Read the shop's file, the one beside the order where none is named.

        :param stated: what the order says of the shop, as it is written
        """
        shop_file = self.request.shop
        if shop_file is None and beside != self.order_file and missing_file(beside) is None:
            shop_file = beside
            self.notes.append(f"The shop's settings were read from {beside}.")
        written = {} if shop_file is None else read_toml(shop_file, what="shop")
        origin = Origin("shop.toml", str(shop_file))
        if shop_file is not None:  # an empty file is a shop's, too
            self.tree.overlay(("shop",), {}, origin)
        for name, learnt in self.learn(written) if self.learn is not None else ():
            self._lay_learnt(name, learnt, (written, stated))
        if written:
            self.tree.overlay(("shop",), written, origin)

    def _lay_learnt(self, name: str, learnt: Mapping[str, Any], stated: Iterable[Any]) -> None:
        """Lay what a plugin has learnt, but for figures that are stated and tables that nobody declares."""
        for table, figures in learnt.items():
            if table not in self.tables and table not in Shop.model_fields:
                continue  # of a plugin left out
            said = [one.get(table) for one in stated if isinstance(one, Mapping)]
            for key, figure in figures.items():
                if not any(isinstance(one, Mapping) and key in one for one in said):
                    self.tree.overlay(
                        ("shop", table, key), figure, Origin("log", f"the log of {name}")
                    )

    def _lay_command_line(self) -> None:
        self.problems += lay_options(self.tree, self.request)
        for text in self.request.sets:
            self._lay_set(text)
        for name, models in self.tables.items():
            for key in of_shop_only(models.shop):
                if self.tree.layer_of(("shop", name, key)) == "command line":
                    self.problems.append(
                        SettingsError(
                            f"shop.{name}.{key}: only shop.toml says that",
                            where="--set",
                            do=f"write it there under [{name}]",
                        )
                    )

    def _lay_set(self, text: str) -> None:
        try:
            lay_set(self.tree, text, self.tables, self.plugins.left_out)
        except SettingsError as error:
            self.problems.append(error)

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
            stem = Path(first).stem if isinstance(first, str) else ""
            name = "".join(sign for sign in stem if sign.isprintable()).strip()[:80]
            if name:
                tree.overlay(("name",), name, DEFAULT)

    def _order(self) -> Order | None:
        raw = {key: value for key, value in self.tree.values.items() if key != "shop"}
        if "print" not in raw:
            self.problems.append(
                SettingsError(
                    "has no [[print]]",
                    where=str(self.order_file),
                    do='add [[print]] and under it artwork = "front.svg"',
                )
            )
            return None
        elsewhere = {
            key: f"in shop.toml, or here under [shop]: shop.{key}" for key in keys_of(Shop)
        }
        core = self._without_plugins(raw, (), "order", elsewhere)
        if isinstance(core.get("print"), list):
            core["print"] = [
                self._print_core(printed, ("print", i)) if isinstance(printed, dict) else printed
                for i, printed in enumerate(core["print"])
            ]
        return self._checked(Order, core, (), also=self._owners("order"), elsewhere=elsewhere)

    def _print_core(self, printed: dict[str, Any], path: KeyPath) -> dict[str, Any]:
        """Give a print without the plugins' tables of its colours, which are checked here."""
        if not isinstance(printed.get("colour"), list):
            return printed
        colours = []
        for j, choice in enumerate(printed["colour"]):
            if isinstance(choice, dict):
                where = (*path, "colour", j)
                self._colour_tables(where, choice)
                choice = self._without_plugins(choice, where, "colour", {})
            colours.append(choice)
        return {**printed, "colour": colours}

    def _colour_tables(self, path: KeyPath, choice: Mapping[str, Any]) -> None:
        try:
            colour = read_hex(choice.get("hex"))
        except ValueError:
            return  # told with the colour itself
        for name, models in self.tables.items():
            if models.colour is not None and name in choice:
                table = self._checked(models.colour, choice[name], (*path, name))
                if table is not None:
                    self.plugins.by_colour[int(path[1]), colour, name] = table

    def _shop(self) -> Shop | None:
        self._forget_readings_of_what_is_stated()
        raw = self.tree.values.get("shop", {})
        if isinstance(raw, dict):
            elsewhere = dict.fromkeys((*keys_of(Order), "shop"), "in order.toml")
            elsewhere.pop("name")
            raw = self._without_plugins(raw, ("shop",), "shop", elsewhere)
            also = self._owners("shop")
            return self._checked(Shop, raw, ("shop",), also=also, elsewhere=elsewhere)
        return self._checked(Shop, raw, ("shop",))

    def _forget_readings_of_what_is_stated(self) -> None:
        """Take away how figures of the press were measured where others hold in their place."""
        path = ("shop", "press", "measured")
        measured = self.tree.get(path)
        if isinstance(measured, dict) and self.tree.origin(path).layer == "log":
            for key in list(measured):
                if self.tree.origin((*path[:-1], key)).layer != "log":
                    self.tree.remove((*path, key))

    def _forget_what_is_not_in_stock(self) -> None:
        """Take away figures that were learnt with a mesh or an ink that shop and order don't have.

        What the log says of a table beside its figures, like the air they were measured in, goes with the
        last of them.
        """
        whole = self.tree.values.get("shop")
        has = {"mesh": self._meshes(), "ink": self._inks()}
        for table, figures in whole.items() if isinstance(whole, dict) else ():
            if not isinstance(figures, dict):
                continue
            learnt = [
                key for key in figures if self.tree.origin(("shop", table, key)).layer == "log"
            ]
            gone = [key for key in learnt if self._out_of_stock(("shop", table, key), has)]
            for key in gone:
                self.tree.remove(("shop", table, key))
            left = [key for key in learnt if key not in gone]
            if gone and not any("measured_on" in _table(figures[key]) for key in left):
                for key in left:
                    self.tree.remove(("shop", table, key))

    def _out_of_stock(self, path: KeyPath, has: Mapping[str, Iterable[str]]) -> bool:
        """Tell whether a learnt figure names what isn't there, and note it."""
        figure = _table(self.tree.get(path))
        for what, names in has.items():
            name = figure.get(what)
            learnt = self.tree.origin((*path, what)).layer == "log"
            if learnt and isinstance(name, str) and name not in names:
                if what == "ink" and name.startswith("#"):
                    continue  # an ink without a name, which is called by its colour
                listed = several(f'"{one}"' for one in names) or "none"
                self.notes.append(
                    f"{'.'.join(map(str, path[1:]))} as it was measured here isn't used: it was measured"
                    f' with {what} "{name}", and in stock are {listed}.'
                )
                return True
        return False

    def _meshes(self) -> tuple[str, ...]:
        if self.tree.get(("shop", "mesh")) is None:
            return tuple(mesh.name for mesh in Shop.model_fields["mesh"].default)
        return tuple(str(mesh.get("name")) for _, mesh in self.tree.tables("shop", "mesh"))

    def _inks(self) -> tuple[str, ...]:
        """Names of inks that the shop lists or the order names."""
        listed = [str(ink.get("name")) for _, ink in self.tree.tables("shop", "inks")]
        ordered = [
            choice["ink"]
            for path, _ in self.tree.tables("print")
            for _, choice in self.tree.tables(*path, "colour")
            if isinstance(choice.get("ink"), str)
        ]
        return tuple(dict.fromkeys((*listed, *ordered)))

    def _plugin_tables(self) -> None:
        for name, models in self.tables.items():
            in_order = keys_of(models.order) if models.order else ()
            in_shop = keys_of(models.shop) if models.shop else ()
            places: tuple[tuple[Kind, type[Table] | None, KeyPath, dict[str, str]], ...] = (
                ("order", models.order, (name,), dict.fromkeys(in_shop, f"under [shop.{name}]")),
                (
                    "shop",
                    models.shop,
                    ("shop", name),
                    dict.fromkeys(in_order, f"in order.toml under [{name}]"),
                ),
            )
            for kind, model, path, elsewhere in places:
                if model is not None:
                    known = len(self.problems)
                    table = self._checked(model, self._written(path), path, elsewhere=elsewhere)
                    if table is None and self._forget_learnt(path, self.problems[known]):
                        del self.problems[known:]
                        table = self._checked(model, self._written(path), path, elsewhere=elsewhere)
                    if table is not None:
                        self.plugins.named[name, kind] = table

    def _written(self, path: KeyPath) -> Any:
        given = self.tree.get(path)
        return {} if given is None else given

    def _forget_learnt(self, path: KeyPath, problem: SettingsError) -> bool:
        """Take away what was learnt of a table, since with what is stated beside it it can't be used.

        :return: whether there was any
        """
        table = _table(self.tree.get(path))
        learnt = [key for key in table if self.tree.origin((*path, key)).layer == "log"]
        for key in learnt:
            self.tree.remove((*path, key))
        if learnt:
            named = several(key for key in learnt if key != "measured_in")
            self.notes.append(
                f"{path[-1]}: {named} as measured here can't be used beside what is stated:"
                f" {problem.what}."
            )
        return bool(learnt)

    def _owners(self, kind: Kind) -> tuple[str, ...]:
        """Names of plugins that have a table of a kind."""
        return tuple(
            name for name, models in self.tables.items() if getattr(models, kind) is not None
        )

    def _without_plugins(
        self, raw: dict[str, Any], path: KeyPath, kind: Kind, elsewhere: Mapping[str, str]
    ) -> dict[str, Any]:
        """Give a table without the plugins' own, telling of those that don't belong here."""
        core = keys_of(_CORE[kind])
        kept = {}
        for key, value in raw.items():
            if key in core:
                kept[key] = value
            elif key in self.plugins.left_out:
                continue
            elif key in self.tables:
                if getattr(self.tables[key], kind) is None:
                    self.problems.append(self._misplaced(key, (*path, key)))
            elif isinstance(value, dict) and key not in elsewhere:
                self.problems.append(self._no_plugin(key, (*path, key), kind))
            else:
                kept[key] = value
        return kept

    def _misplaced(self, name: str, path: KeyPath) -> SettingsError:
        models = self.tables[name]
        places = [
            spelt
            for model, spelt in (
                (models.shop, f"in shop.toml under [{name}], or in order.toml under [shop.{name}]"),
                (models.order, f"in order.toml under [{name}]"),
                (models.colour, f"in order.toml under [print.colour.{name}]"),
            )
            if model is not None
        ]
        do = f"it has settings {' and '.join(places)}" if places else "it has no settings"
        return refusal(self.tree, path, f"plugin {name} has no table here", do=do, show=False)

    def _no_plugin(self, name: str, path: KeyPath, kind: Kind) -> SettingsError:
        near = nearest(name, [*keys_of(_CORE[kind]), *self._owners(kind)])
        do = f"did you mean {near}?" if near else f"install the plugin, or say --without {name}"
        problem = f"there is no such table, and no plugin called {name} is installed"
        return refusal(self.tree, path, problem, do=do, show=False)

    def _checked(
        self,
        model: type[Model],
        raw: Any,
        path: KeyPath,
        *,
        also: Iterable[str] = (),
        elsewhere: Mapping[str, str] | None = None,
    ) -> Model | None:
        """Check a table; what is wrong with it is added to the problems."""
        try:
            return _validated(model, raw)
        except ValidationError as error:
            mended = self._as_text(raw, path, error)
            try:
                return _validated(model, mended)
            except ValidationError as still:
                self.problems += refusals(
                    self.tree, model, path, still, also=also, elsewhere=elsewhere
                )
        return None

    def _as_text(self, raw: Any, path: KeyPath, error: ValidationError) -> Any:
        """Give the table with values of ``--set`` that only look like numbers as they were typed."""
        mended = copy.deepcopy(raw)
        for detail in error.errors():
            loc = detail["loc"]
            origin, given = self.tree.origin((*path, *loc)), self.tree.get((*path, *loc))
            looks = isinstance(given, bool | int | float) and detail["type"] in _TEXT_IN_DISGUISE
            if looks and origin.typed is not None:
                holder = mended
                for part in loc[:-1]:
                    holder = holder[part]
                holder[loc[-1]] = origin.value
        return mended

    def _with_files(self, order: Order) -> Order:
        """Give the order with full paths of its artworks and fonts, each of which is there."""
        prints = []
        for i, printed in enumerate(order.print):
            path: KeyPath = ("print", i, "artwork")
            found = self._found(path, printed.artwork)
            prints.append(printed.model_copy(update={"artwork": found}))
        fonts = [
            font.model_copy(update={"file": self._found(("font", i, "file"), font.file)})
            for i, font in enumerate(order.font)
        ]
        return order.model_copy(update={"print": tuple(prints), "font": tuple(fonts)})

    def _found(self, path: KeyPath, named: Path) -> Path:
        """Give the full path of a file that a setting names, seen from the order if it stands there."""
        from_order = self.tree.layer_of(path) == "order.toml" and self.order_file is not None
        base = self.order_file.parent if from_order and self.order_file else Path()
        found = base / named
        problem = missing_file(found)
        if problem is None and not str(found).isprintable():
            problem = "its name holds signs that can't be written down"
        if problem is not None:
            error = refusal(self.tree, path, problem)
            raise InputError(error.what, where=error.where, do=f"looked for {found}")
        if _is_empty(found):
            error = refusal(self.tree, path, "the file is empty")
            raise InputError(error.what, where=error.where, do=f"export or copy {found} again")
        return Path(os.path.abspath(found))


def _table(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}


def _is_empty(path: Path) -> bool:
    """Say whether a file that is there has nothing in it, while its name is at hand as it was given."""
    return path.stat().st_size == 0


def _validated(model: type[Model], raw: Any) -> Model:
    # as JSON, pydantic's strict mode takes a list for a tuple and text for a path, but no "3" for a 3
    return model.model_validate_json(json.dumps(raw, default=str), strict=True)


def _assumptions(tree: Tree, order: Order, shop: Shop, setups: Iterable[SetUp]) -> Iterator[str]:
    """Give a sentence for each thing that was assumed since nobody said."""
    for i, garment in enumerate(order.garment):
        path = ("garment", i)
        of = "" if len(order.garment) == 1 else f' of "{garment.name}"'
        if tree.origin((*path, "sizes")) is DEFAULT:
            yield f"Assumed {USUAL_SHIRTS} garments{of}, as nobody said how many (--shirts)."
        if tree.get((*path, "colour")) is None:
            yield f"Assumed white garments{of}, as nobody said their colour (--garment)."
        if tree.get((*path, "fibre")) is None:
            yield f"Assumed {garment.fibre}{of}, as nobody said the fibre."
    for place in dict.fromkeys(s.place for s in setups if s.size == PrintSize()):
        yield f"Assumed the size the artwork states for {place}, as nobody gave a width (--width)."
    if not tree.layers_under(("shop",)) & {"shop.toml", "order.toml"}:
        meshes = ", ".join(mesh.name for mesh in shop.mesh)
        yield (
            f"Assumed a usual shop, as there is no shop.toml: meshes {meshes}; film of"
            f" {shop.film.thickness_um:g} µm; {shop.press.kind}."
        )
