"""What plugins show beside the orders, found, told and taken in; done in a worker."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

from prep.errors import InputError, PluginFailed, PrepError
from prep.layers import read_toml
from prep.plugins import Plugins, failure_of, find_plugins
from prep.views import Address, EntryForm, Link, Place, Taken, View, ViewPage
from prep_page.dropped import files_of
from prep_page.filled import Typed, filled_in
from prep_page.forms import fields_to_fill_in
from prep_page.places import FILES, PICTURES, kept_in
from prep_page.sections_told import told

if TYPE_CHECKING:
    from prep.line import Line

Json = dict[str, Any]
_NAME = re.compile(r"[a-z][a-z0-9-]{0,40}")
_PICTURES_KEPT = 400


@dataclass
class Shelf:
    """The views of all plugins, found once."""

    plugins: Plugins | None = None
    found: dict[str, tuple[str, View]] = field(default_factory=dict)

    def views(self) -> dict[str, tuple[str, View]]:
        """Give the views: name -> (plugin's name, view).

        :raises PluginFailed: a plugin gives something else, or two views have one name
        """
        if self.plugins is None:
            plugins = find_plugins()
            self.found, self.plugins = views_of(plugins), plugins
        return self.found

    def learnt(self, shop: Path | None) -> object:
        """Give what plugins have measured here, to be compared; ``None`` where they can't tell."""
        self.views()
        assert self.plugins is not None
        try:
            return self.plugins.learn({} if shop is None else read_toml(shop, what="shop"))
        except PrepError:
            return None

    def view(self, name: str) -> tuple[str, View]:
        """Give a view by its name, with that of its plugin.

        :raises InputError: there is none
        """
        found = self.views().get(name)
        if found is None:
            raise InputError(
                "nothing of this name is shown here", do="go back to where you came from"
            )
        return found


def views_of(plugins: Plugins) -> dict[str, tuple[str, View]]:
    """Ask plugins for their views.

    :raises PluginFailed: see :meth:`Shelf.views`
    """
    found: dict[str, tuple[str, View]] = {}
    for plugin in plugins.names:
        for view in plugins.gather_from(plugin, "prep_views", View):
            if _NAME.fullmatch(view.name) is None:
                raise PluginFailed(plugin, f'gives a view with the name "{view.name}"')
            if view.name in found:
                other = found[view.name][0]
                raise PluginFailed(plugin, f"gives the view {view.name}, and so does {other}")
            found[view.name] = plugin, view
    return found


def listed(shelf: Shelf) -> list[Json]:
    """Tell which views there are.

    :raises PluginFailed: see :meth:`Shelf.views`
    """
    return [
        {
            "name": view.name,
            "title": view.title,
            "about": view.about,
            "by": plugin,
            "of_order": [_link(one) for one in view.of_order],
        }
        for plugin, view in shelf.views().values()
    ]


def is_of_order(view: View, address: Address) -> bool:
    """Say whether a page is about an order that lies open."""
    return any(address[: len(one.address)] == one.address for one in view.of_order)


def shown(
    shelf: Shelf, name: str, address: Address, *, shop: Path | None, line: Line | None, folder: Path
) -> Json:
    """Tell a page of a view; its pictures are kept in the folder.

    :raises InputError: there is no such page, or it can't be shown as things are
    :raises PluginFailed: the plugin failed
    """
    plugin, view = shelf.view(name)
    page = _page(plugin, view, address, shop, line)
    pictures = folder / PICTURES
    pictures.mkdir(parents=True, exist_ok=True)

    def keep(digest: str, svg: str) -> None:
        kept_in(pictures / f"{digest}.svg", svg.encode())

    made = {
        "view": view.title,
        "title": page.title,
        "sections": [told(replace(section, by=plugin), keep) for section in page.sections],
        "links": [_link(one) for one in page.links],
        "forms": [_form(one, _units(shop, line)) for one in page.forms],
    }
    _thin_out(pictures)
    return made


def _thin_out(pictures: Path) -> None:
    """Let go of the pictures shown longest ago."""
    all_there = sorted(pictures.glob("*.svg"), key=lambda path: path.stat().st_mtime)
    for path in all_there[:-_PICTURES_KEPT]:
        path.unlink(missing_ok=True)


def taken(
    shelf: Shelf,
    name: str,
    address: Address,
    form: str,
    typed: Mapping[str, Typed],
    *,
    shop: Path | None,
    line: Line | None,
    folder: Path,
    key: str,
) -> Json:
    """Hand a form that was filled in to its plugin, and tell what came of it.

    :param form: its name
    :param typed: part's key -> what was typed in its fields
    :param key: names the folder of files that are given
    :return: ``said``, ``go``, ``files`` with names and sizes, ``opens`` as (name, content), ``learnt``:
        whether figures that plugins have measured here are others now, and as ``trouble`` lines where
        something was entered and what follows from it failed
    :raises InputError: it can't be used; nothing is entered
    :raises PluginFailed: the plugin failed
    """
    plugin, view = shelf.view(name)
    page = _page(plugin, view, address, shop, line)
    one = next((one for one in page.forms if one.name == form), None)
    if one is None or typed.keys() - {part.key for part in one.parts}:
        raise InputError(
            "this form has changed since it was opened", do="load the page anew, then fill it in"
        )
    units = _units(shop, line)
    values = {
        part.key: filled_in(
            part.key, fields_to_fill_in(part.model, part.given, units), typed.get(part.key, ())
        )
        for part in one.parts
    }
    before = shelf.learnt(shop)
    with _named(plugin, view):
        came = one.take(values)
    if not isinstance(came, Taken):
        raise PluginFailed(plugin, f"{view.name} must give Taken, not {type(came).__name__}")
    trouble: tuple[str, ...] = ()
    opens: list[tuple[str, bytes]] | None = None
    files: list[Json] = []
    try:
        files = _written(came, plugin, folder / FILES / key)
        opens = None if came.opens is None else _laid_open(came.opens)
    except PrepError as error:
        trouble = error.lines()
    except OSError as error:
        trouble = (f"{error.strerror or error}; see to that, then ask for it again",)
    return {
        "said": list(came.said),
        "go": None if came.go is None else list(came.go),
        "files": files,
        "opens": opens,
        "learnt": shelf.learnt(shop) != before,
        "trouble": list(trouble),
    }


def _laid_open(folder: Path) -> list[tuple[str, bytes]]:
    """Read an order, and remove its folder where that was made for this alone."""
    try:
        return files_of(folder)
    finally:
        if folder.resolve().is_relative_to(Path(tempfile.gettempdir()).resolve()):
            shutil.rmtree(folder, ignore_errors=True)


def _written(came: Taken, plugin: str, folder: Path) -> list[Json]:
    files: list[Json] = []
    shutil.rmtree(folder, ignore_errors=True)
    for document in came.files:
        name = PurePosixPath(document.name)
        if ".." in name.parts or "." in document.name.split("/"):
            raise PluginFailed(plugin, f"gives a file with the name {document.name}")
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(document.data)
        files.append({"name": document.name, "size": len(document.data)})
    return files


def _page(
    plugin: str, view: View, address: Address, shop: Path | None, line: Line | None
) -> ViewPage:
    place = Place(shop, line if is_of_order(view, address) else None)
    with _named(plugin, view):
        page = view.show(address, place)
    if not isinstance(page, ViewPage):
        raise PluginFailed(plugin, f"{view.name} must give ViewPage, not {type(page).__name__}")
    return page


@contextmanager
def _named(plugin: str, view: View) -> Iterator[None]:
    """Let errors of ours pass, and name the plugin of all others."""
    try:
        yield
    except PrepError:
        raise
    except (Exception, SystemExit) as error:
        raise failure_of(plugin, f"view {view.name}", error) from error


def _link(one: Link) -> Json:
    return {"words": one.words, "address": list(one.address)}


def _units(shop: Path | None, line: Line | None) -> str:
    """Say in which units the shop measures; what is wrong with its file is told elsewhere."""
    if line is not None:
        return line.loaded.shop.units
    try:
        units = {} if shop is None else read_toml(shop, what="shop")
    except PrepError:
        return "metric"
    return "inch" if units.get("units") == "inch" else "metric"


def _form(one: EntryForm, units: str) -> Json:
    return {
        "name": one.name,
        "title": one.title,
        "do": one.do,
        "parts": [
            {
                "key": part.key,
                "title": part.title,
                "about": part.about,
                "fields": fields_to_fill_in(part.model, part.given, units),
            }
            for part in one.parts
        ],
    }
