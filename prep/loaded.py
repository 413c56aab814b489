"""An order and a shop as they were read: what each set-up is to use, and all of it as one file."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol, TypeVar

from prep.errors import SettingsError
from prep.in_force import Leaf, Node, Nodes, nodes_of, origins_of, raw_node, without, write_toml
from prep.job import Chosen
from prep.layers import KeyPath, Tree
from prep.order import ColourChoice, Garment, Order, Print, SetUp
from prep.plugin_tables import Kind, PluginTables
from prep.refusals import keys_of, refusal
from prep.setups import shade_of
from prep.shop import Shop
from prep.tables import Table, of_shop_only

Model = TypeVar("Model", bound=Table)


class KnowsFiles(Protocol):
    """Settings that remember what they were read from."""

    def file_of(self, layer: str) -> str:
        """Give the file a layer was read from, as it was named; the layer where no file was read."""
        ...

    def typed(self, key: str) -> str | None:
        """Give ``KEY=VALUE`` of ``--set`` that a setting in force was typed in."""
        ...


@contextmanager
def named_by_file(loaded: KnowsFiles) -> Iterator[None]:
    """Let errors of plugins, which know no files, name the file that was read or what was typed.

    :raises SettingsError: the error
    """
    try:
        yield
    except SettingsError as error:
        where, what = loaded.file_of(error.where), error.what
        # looked for whatever the layer: one entry of a table may be typed, and the table written
        key, _, problem = what.partition(": ")
        typed = loaded.typed(key)
        if typed is not None:
            where, what = f"--set {typed}", problem
        if where == error.where:
            raise
        raise SettingsError(what, where=where, do=error.do, more=error.more) from error


@dataclass(frozen=True, slots=True, eq=False)
class LoadedShop:
    """A shop alone, without an order, checked, with the plugins' tables.

    :param notes: what is worth knowing of the reading, whole sentences
    """

    shop: Shop
    notes: tuple[str, ...]
    _plugins: PluginTables
    _tree: Tree
    _origins: dict[str, str] = field(default_factory=dict)

    def settings(self, model: type[Model]) -> Model:
        """Give a plugin's settings table of the shop; its defaults where nothing is set."""
        found = next((t for t in self._plugins.named.values() if isinstance(t, model)), None)
        return model() if found is None else found

    @property
    def origins(self) -> Mapping[str, str]:
        """The layer of every setting by its key, like ``shop.balance.readability``."""
        if not self._origins:
            nodes: Nodes = nodes_of(self.shop, ("shop",), self._tree)
            for (name, of), table in self._plugins.named.items():
                if of == "shop":
                    nodes[name] = nodes_of(table, ("shop", name), self._tree)
            self._origins.update(origins_of(nodes, ("shop",)))
        return self._origins

    def file_of(self, layer: str) -> str:
        """Give the file a layer was read from, as it was named; the layer where no file was read."""
        return self._tree.file_of(layer)

    def typed(self, key: str) -> str | None:
        """Give ``KEY=VALUE`` of ``--set`` that a setting in force was typed in."""
        return self._tree.typed(key) or self._tree.typed(f"shop.{key}")


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """An order and a shop, checked, with the plugins' tables.

    :param order: with the full paths of its artworks and fonts
    :param setups: the order expanded
    :param assumed: what was assumed since nobody said, whole sentences
    :param notes: what else is worth knowing of the reading, whole sentences
    """

    order: Order
    shop: Shop
    setups: tuple[SetUp, ...]
    assumed: tuple[str, ...]
    notes: tuple[str, ...]
    _plugins: PluginTables
    _tree: Tree

    def file_of(self, layer: str) -> str:
        """Give the file a layer was read from, as it was named; the layer where no file was read."""
        return self._tree.file_of(layer)

    def typed(self, key: str) -> str | None:
        """Give ``KEY=VALUE`` of ``--set`` that a setting in force was typed in.

        :param key: dotted, like ``base.way``; of shop.toml without ``shop``
        """
        return self._tree.typed(key) or self._tree.typed(f"shop.{key}")

    def refused(
        self, place: str, choice: ColourChoice, key: str, problem: str, do: str
    ) -> SettingsError:
        """Make the one line for what the order says of a colour that is to be printed at a place."""
        found = (
            (i, j)
            for i, printed in enumerate(self.order.print)
            if printed.place == place
            for j, other in enumerate(printed.colour)
            if other.colour == choice.colour
        )
        i, j = next(found)
        return refusal(self._tree, ("print", i, "colour", j, key), problem, do=do)

    def as_written(self, path: KeyPath) -> Any:
        """Give a setting as order or shop have it; ``None`` where neither does."""
        return self._tree.get(path)

    def size_refused(self, setup: SetUp, problem: str, do: str) -> SettingsError:
        """Make the one line for a print's size that was asked for, or that its drawing has."""
        for i, printed in enumerate(self.order.print):
            if (printed.place, printed.artwork) != (setup.place, setup.artwork):
                continue
            if setup.size.width_mm in printed.width_by_size_mm.values():
                return refusal(self._tree, ("print", i, "width_by_size"), problem, do=do)
            if setup.size.width_mm is not None:
                return refusal(self._tree, ("print", i, "width"), problem, do=do)
            if setup.size.height_mm is not None:
                return refusal(self._tree, ("print", i, "height"), problem, do=do)
        return SettingsError(problem, where=setup.artwork.name, do=do)

    def chosen_for(self, setup: SetUp) -> Chosen:
        """Give the plugins' settings in force for one set-up.

        ``origins`` has the key of every setting: ``shop.film.thickness``; ``shop.ink.transfer`` of a
        plugin's table in shop.toml, ``ink.reserve`` of its table in order.toml;
        ``colour.#1f3a5f.mesh`` of a colour; ``width``, ``place`` ... of the print;
        ``garment[1].fibre`` of the set-up's first garment; ``name`` of the order.
        """
        nodes = self._nodes(setup, None)
        origins: dict[str, str] = {}
        for printed in _tables(nodes.pop("print")):
            colours = _tables(printed.pop("colour", []))
            for choice, colour in zip(setup.colours, colours, strict=True):
                origins.update(origins_of(colour, ("colour", choice.colour)))
            origins.update(origins_of(printed))
        origins.update(origins_of(nodes))
        return Chosen(
            tables={type(table): table for table in self._plugins.named.values()},
            by_colour={
                (type(table), colour): table
                for (number, colour, _), table in self._plugins.by_colour.items()
                if self.order.print[number].place == setup.place
            },
            origins=origins,
            by_place={
                (self.order.print[number].place, type(table), colour): table
                for (number, colour, _), table in self._plugins.by_colour.items()
            },
        )

    def is_for_any_print(self, place: str, colour: str) -> bool:
        """Say whether ``--set`` alone names a colour at a place: for all prints that have the colour."""
        return any(
            self._tree.layer_of(("print", i, "colour", j, "hex")) == "command line"
            for i, printed in enumerate(self.order.print)
            if printed.place == place
            for j, choice in enumerate(printed.colour)
            if choice.colour == colour
        )

    def in_force(
        self,
        setup: SetUp | None = None,
        *,
        folder: Path | None = None,
        unused: Collection[tuple[str, str]] = (),
        useless: Collection[KeyPath] = (),
    ) -> str:
        """Write every setting in force as the text of an order.toml.

        Read again, it gives the same settings: the whole order, or one set-up alone. Tables of plugins
        left out are kept as they stand.

        :param folder: where the file will lie, so that it names artworks from there; without it, it
            names them by their full paths
        :param unused: places and colours that change nothing there, as the artwork doesn't have them;
            left out, for alone they would be refused
        :param useless: what else of the order has no use there, where it stands; left out likewise
        """
        part = "" if setup is None else f" for {setup.name}"
        head = f"Every setting in force{part}."
        nodes = self._nodes(setup, folder)
        prints = [p for p in self.order.print if setup is None or p.place == setup.place]
        for printed, node in zip(prints, _tables(nodes["print"]), strict=True):
            colours = zip(printed.colour, _tables(node["colour"]), strict=True)
            node["colour"] = [n for c, n in colours if (printed.place, c.colour) not in unused]
        without(nodes, (*useless, *self._of_shop_only()))
        return write_toml(nodes, head=head)

    def _of_shop_only(self) -> Iterator[KeyPath]:
        """Give what no order states."""
        for (name, kind), table in self._plugins.named.items():
            if kind == "shop":
                yield from (("shop", name, key) for key in of_shop_only(type(table)))

    def nodes(self) -> Nodes:
        """Give every setting in force in the shape of order.toml, each value with its layer."""
        return self._nodes(None, None)

    def _nodes(self, setup: SetUp | None, folder: Path | None) -> Nodes:
        prints: list[Nodes] = []
        for i, printed in enumerate(self.order.print):
            if setup is None or printed.place == setup.place:
                prints.append(self._print(i, printed, setup, folder))
        fonts: list[Nodes] = []
        for i, font in enumerate(self.order.font):
            path: KeyPath = ("font", i)
            file = Leaf(_named_from(font.file, folder), self._tree.layer_of((*path, "file")))
            fonts.append({**nodes_of(font, path, self._tree), "file": file})
        garments: list[Nodes] = []
        for i, garment in enumerate(self.order.garment):
            part = garment if setup is None else self._part_of(garment, setup)
            if part is not None:
                garments.append(nodes_of(part, ("garment", i), self._tree))
        shop = nodes_of(self.shop, ("shop",), self._tree) | dict(
            self._of_plugins("shop", ("shop",))
        )
        plain = nodes_of(self.order, (), self._tree)
        return {
            **{
                key: node for key, node in plain.items() if isinstance(node, Leaf) and key != "font"
            },
            **({"font": fonts} if fonts else {}),
            **dict(self._of_plugins("order", ())),
            "shop": shop,
            "print": prints,
            "garment": garments,
        }

    def _print(self, i: int, printed: Print, setup: SetUp | None, folder: Path | None) -> Nodes:
        path: KeyPath = ("print", i)
        nodes = nodes_of(printed, path, self._tree)
        nodes["artwork"] = Leaf(
            _named_from(printed.artwork, folder), self._tree.layer_of((*path, "artwork"))
        )
        if setup is not None:
            del nodes["width_by_size"]
            by_size = self._tree.layer_of((*path, "width_by_size"))
            for key, side, usual in (
                ("width", setup.size.width_mm, printed.width_mm),
                ("height", setup.size.height_mm, printed.height_mm),
            ):
                if side is None:
                    nodes.pop(key, None)
                elif side != usual:
                    nodes[key] = Leaf(f"{side:.12g} mm", by_size)
        for j, (choice, colour) in enumerate(
            zip(printed.colour, _tables(nodes["colour"]), strict=True)
        ):
            colour.update(self._of_colour(i, choice, (*path, "colour", j)))
        return nodes

    def _part_of(self, garment: Garment, setup: SetUp) -> Garment | None:
        """Give what a set-up prints of a garment, ``None`` when nothing."""
        printed = next(p for p in self.order.print if p.place == setup.place)
        shade = shade_of(garment.colour, dark_below=self.shop.dark_below)
        sizes = {s: n for s, n in garment.sizes.items() if printed.size_for(s) == setup.size}
        other = setup.solid_tints_on not in (None, garment.colour)
        if other or shade != setup.shade or not garment.carries(setup.place) or not sizes:
            return None
        return garment.model_copy(update={"sizes": sizes, "prints": (setup.place,)})

    def _of_plugins(self, kind: Kind, path: KeyPath) -> Iterator[tuple[str, Node]]:
        for (name, of), table in self._plugins.named.items():
            if of == kind:
                yield name, nodes_of(table, (*path, name), self._tree)
        yield from self._left_out(path)

    def _of_colour(self, i: int, choice: ColourChoice, path: KeyPath) -> Iterator[tuple[str, Node]]:
        for (number, colour, name), table in self._plugins.by_colour.items():
            if (number, colour) == (i, choice.colour):
                yield name, nodes_of(table, (*path, name), self._tree)
        yield from ((n, node) for n, node in self._left_out(path) if n not in keys_of(ColourChoice))

    def _left_out(self, path: KeyPath) -> Iterator[tuple[str, Node]]:
        """Give the tables of plugins left out as they stand, so that nothing she wrote is lost."""
        for name in self._plugins.left_out:
            raw = self._tree.get((*path, name))
            if raw is not None:
                yield name, raw_node(raw, (*path, name), self._tree)


def _tables(node: Node) -> list[Nodes]:
    return node if isinstance(node, list) else []


def _named_from(file: Path, folder: Path | None) -> str:
    if folder is None:
        return file.as_posix()
    try:
        return Path(os.path.relpath(os.path.realpath(file), os.path.realpath(folder))).as_posix()
    except ValueError:  # on another drive
        return file.as_posix()
