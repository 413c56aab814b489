"""The command ``prep test-piece``: for each mesh a drawing, its order, and the form for what is read."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import tomlkit

from prep.colour_difference import lab_of
from prep.console import out, progress
from prep.errors import InputError, OutputError, PluginFailed, Unanswered
from prep.hookspecs import SettingsTables
from prep.line import open_line
from prep.phrases import several
from prep.plugins import find_plugins
from prep.request import Request
from prep.settings import load_shop
from prep.setups import safe_name
from prep.shop import Shop
from prep_test_piece.asked import printed_with
from prep_test_piece.drawing import COLOUR, svg
from prep_test_piece.form import Printed, form
from prep_test_piece.geometry import Piece, piece
from prep_test_piece.plan import PULLS, SHIRTS, STROKES

ORDER, FORM = "order.toml", "readings.toml"
_WHITE, _GREY = "#ffffff", "#c6c6c6"
_PALE = 88.0
"""CIE L* from which ink wouldn't show on white in the sheet's pictures. Our choice."""


@dataclass(frozen=True, slots=True)
class Named:
    """What one piece is of.

    :param folder: name of its folder, which stands in that of the drawing too
    :param colour: ``#rrggbb`` of the ink
    """

    mesh: str
    folder: str
    ink: str
    colour: str

    @property
    def title(self) -> str:
        """Name of the order."""
        return f"test piece {self.mesh}"

    @property
    def drawing(self) -> str:
        """Name of the drawing's file."""
        return f"test-piece-{self.folder}.svg"

    @property
    def cloth(self) -> str:
        """A light colour that the ink shows on, so that no base goes under it."""
        return _GREY if lab_of(self.colour)[0] > _PALE else _WHITE


def make(
    meshes: Sequence[str],
    ink: str | None,
    folder: Path,
    shop_file: Path | None,
    without: Sequence[str],
) -> None:
    """Write a folder for each mesh.

    :raises InputError: a mesh or an ink that the shop doesn't have, or the job can't be reckoned; nothing
        was written
    :raises OutputError: a folder is there already, or can't be written
    """
    plugins = find_plugins(without)
    if plugins.failures:
        raise plugins.failures[0]
    tables = dict(plugins.each("prep_settings", SettingsTables))
    shop = load_shop(shop_file, tables, without=without).shop
    names = _folders(_in_stock(meshes, shop))
    ink = _ink(ink, shop)
    for name in names.values():
        if (folder / name).exists():
            raise OutputError(
                "is there already, perhaps with readings in it",
                where=str(folder / name),
                do="choose another folder with --out",
            )
    whole = piece()
    if shop_file is None and Path("shop.toml").exists():
        shop_file = Path("shop.toml")
    made = {
        name: _files(whole, _named(mesh, name, ink, shop), shop_file, without)
        for mesh, name in names.items()
    }
    _write(folder, made)
    named = "" if shop_file is None else f" --shop {shop_file}"
    for mesh, name in names.items():
        where = folder / name
        out(f"{where}{os.sep}  {whole.width_mm:g} × {whole.height_mm:g} mm, mesh {mesh}, {ink}")
        out(f"  prep sheet {where / ORDER}{named}")
        out(f"  then, with what was read in it:  prep log readings {where / FORM}")


def files_on(mesh: str, ink: str, shop_file: Path | None, shop: Shop) -> Mapping[str, str]:
    """Make the files of one mesh, for the page.

    :param mesh: empty = none was chosen
    :param ink: likewise
    :raises InputError: the shop has no such mesh or ink, or the order can't be used with it
    :raises PluginFailed: nobody reckons ink
    """
    return _files(piece(), chosen(mesh, ink, shop), shop_file, ())


def printed_on(mesh: str, ink: str, shop_file: Path | None, shop: Shop) -> Printed:
    """Give what the form of such a piece has to know; raises as :func:`files_on` does."""
    return _printed(_to_try(piece(), chosen(mesh, ink, shop)), shop_file, ())


def chosen(mesh: str, ink: str, shop: Shop) -> Named:
    """Say what one piece is of.

    :raises InputError: the shop has no such mesh or ink
    """
    (mesh,) = _in_stock((mesh,) if mesh else (), shop, "piece.mesh")
    return _named(mesh, safe_name(mesh, otherwise="mesh"), _ink(ink, shop, "piece.ink"), shop)


def _named(mesh: str, folder: str, ink: str, shop: Shop) -> Named:
    listed = shop.listed_ink(ink)
    colour = COLOUR if listed is None or listed.colour is None else listed.colour
    return Named(mesh, folder, ink, colour)


def _in_stock(meshes: Sequence[str], shop: Shop, where: str = "--mesh") -> tuple[str, ...]:
    """Check the names of meshes.

    :param where: option or field that names them
    :raises InputError: none is named, or one that isn't in stock
    """
    stock = [mesh.name for mesh in shop.mesh]
    listed = several(f'"{name}"' for name in stock)
    if not meshes:
        raise InputError("no mesh is named", where=where, do=f"name one of {listed}")
    for name in meshes:
        if name not in stock:
            raise InputError(
                f'the shop has no mesh "{name}"',
                where=where,
                do=f"name one of {listed}, or add it as [[mesh]] to shop.toml and name that with --shop",
            )
    return tuple(dict.fromkeys(meshes))


def _ink(name: str | None, shop: Shop, where: str = "--ink") -> str:
    """Give the ink it is printed with.

    :param where: option or field that names it
    :raises InputError: none is named, or one that the shop doesn't list
    """
    has = several(f'"{one.name}"' for one in shop.inks)
    if name is None or not name.strip():
        raise InputError(
            "no ink is named",
            where=where,
            do=f"name one of {has}" if has else "name the ink it is printed with",
        )
    if has and shop.listed_ink(name) is None:
        raise InputError(
            f'the shop has no ink "{name}"',
            where=where,
            do=f"name one of {has}, or add it as [[inks]] to shop.toml",
        )
    return name


def _folders(meshes: Iterable[str]) -> dict[str, str]:
    """Give each mesh the name of its folder.

    :raises InputError: two share one
    """
    found: dict[str, str] = {}
    for mesh in meshes:
        name = safe_name(mesh, otherwise="mesh")
        for other, taken in found.items():
            if taken == name:
                raise InputError(
                    f'the folders of "{other}" and "{mesh}" would have one name',
                    where="--mesh",
                    do="make their pieces one after the other, each with an --out of its own",
                )
        found[mesh] = name
    return found


def _files(
    whole: Piece, named: Named, shop: Path | None, without: Sequence[str]
) -> Mapping[str, str]:
    """Make the files of one mesh, the order tried in a folder of its own.

    :raises InputError: the order can't be used with this shop
    """
    files = _to_try(whole, named)
    printed = _printed(files, shop, without)
    return {**files, FORM: form(whole, printed, named.title)}


def _to_try(whole: Piece, named: Named) -> dict[str, str]:
    """Give drawing and order."""
    return {named.drawing: svg(whole, named.colour), ORDER: _order(whole, named)}


def _printed(files: Mapping[str, str], shop: Path | None, without: Sequence[str]) -> Printed:
    """Try the order, and give what the form has to know.

    :raises InputError: the order can't be used with this shop
    :raises PluginFailed: nobody reckons ink
    """
    with TemporaryDirectory() as tried:
        for file, text in files.items():
            (Path(tried) / file).write_text(text, encoding="utf-8", newline="\n")
        request = Request(Path(tried) / ORDER, shop=shop, without=tuple(without))
        with progress() as tell, open_line(request, tell=tell) as line:
            job = line.job(line.setups[0])
            try:
                return printed_with(job, line.ask(job))
            except Unanswered as error:
                raise PluginFailed("test_piece", f"can't write its form: {error.why}") from error


def _order(whole: Piece, named: Named) -> str:
    name, mesh, ink = (_quoted(text) for text in (named.title, named.mesh, named.ink))
    return (
        "# A test piece, to be printed on scrap of the cloth you print on.\n"
        f"name = {name}\n\n"
        "[[print]]\n"
        'place = "front"\n'
        f'artwork = "{named.drawing}"\n'
        f'width = "{whole.width_mm:g} mm"\n\n'
        "[[print.colour]]\n"
        f'hex = "{named.colour}"\n'
        f"ink = {ink}\n"
        f"mesh = {mesh}\n"
        "passes = 1\n\n"
        "[[garment]]\n"
        'name = "test shirt"\n'
        f'colour = "{named.cloth}"\n'
        f"sizes = {{ any = {SHIRTS} }}\n\n"
        f"# with {SHIRTS} shirts, {PULLS} pulls\n"
        "[ink]\n"
        f"test_pulls = {PULLS - SHIRTS}\n"
        "spoilage = 0\n"
        f"strokes = {STROKES}\n\n"
        "[fill_in]\n"
        "meant_to_fail = true\n\n"
        "[test_piece]\n"
        f"mesh = {mesh}\n"
    )


def _quoted(text: str) -> str:
    return tomlkit.item(text).as_string()


def _write(folder: Path, made: Mapping[str, Mapping[str, str]]) -> None:
    try:
        for name, files in made.items():
            (folder / name).mkdir(parents=True)
            for file, text in files.items():
                (folder / name / file).write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise OutputError(
            f"can't be written: {error.strerror or error}",
            where=str(folder),
            do="choose another folder with --out",
        ) from error
