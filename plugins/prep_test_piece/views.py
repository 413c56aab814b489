"""Makes a test piece from the page, and gives its fields to whoever takes readings in."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, create_model

from prep.errors import InputError
from prep.hookspecs import SettingsTables
from prep.phrases import several
from prep.plugins import find_plugins
from prep.sections import Document, Paragraph, Section
from prep.settings import load_shop
from prep.shop import Shop
from prep.tables import Label, Table
from prep.views import Address, EntryForm, FormPart, Place, Taken, ViewPage
from prep_test_piece.form import Printed
from prep_test_piece.geometry import piece
from prep_test_piece.making import FORM, chosen, files_on, printed_on
from prep_test_piece.plan import PULLS, SCREEN_AT_MIN, SHIRTS, STROKES

__all__ = ["chosen", "chosen_from", "page", "piece", "printed", "shop_of", "weighed"]

Typed = Mapping[str, Mapping[str, Any]]


class MeshAndInk(Table):
    """What a piece is of."""

    mesh: Label
    ink: Label


def chosen_from(shop: Shop) -> type[Table]:
    """Give the fields with the shop's meshes and inks to choose from; any ink where it lists none."""
    fields: dict[str, Any] = {}
    for name, known in (("mesh", shop.mesh), ("ink", shop.inks)):
        names = tuple(one.name for one in known)
        kind = Literal.__getitem__(names) if names else Label
        fields[name] = (kind, Field(description="that it is printed with"))
    return create_model("MeshAndInkHere", __base__=MeshAndInk, **fields)


def shop_of(file: Path | None) -> Shop:
    """Read the shop.

    :raises InputError: it can't be used
    """
    plugins = find_plugins()
    if plugins.failures:
        raise plugins.failures[0]
    return load_shop(file, dict(plugins.each("prep_settings", SettingsTables))).shop


def page(address: Address, place: Place) -> ViewPage:
    """Show the only page.

    :raises InputError: there is no other, or the shop can't be used
    """
    if address:
        raise InputError("there is no such page of the test piece", do="begin with its first")
    shop, whole = shop_of(place.shop), piece()
    about = (
        f"A film of {whole.width_mm:g} × {whole.height_mm:g} mm with ladders of lines, film strips,"
        f" islands, corners and dots, for one mesh and ink. It is printed {PULLS} times, {SHIRTS} of these"
        " on shirts; what held is counted, and the limits of this shop follow.",
        "Its order lies open then like any other: its sheet has the work step by step with tables to fill"
        " in, and its films are cut as yours always are.",
        f"Meshes in stock: {several(mesh.name for mesh in shop.mesh)}.",
    )

    def take(typed: Typed) -> Taken:
        own = typed.get("piece", {})
        mesh, ink = str(own.get("mesh", "")), str(own.get("ink", ""))
        files = files_on(mesh, ink, place.shop, shop)
        folder = Path(tempfile.mkdtemp(prefix="firstpull-test-piece-"))
        try:
            for name, text in files.items():
                if name != FORM:
                    (folder / name).write_text(text, encoding="utf-8", newline="\n")
        except OSError as error:
            shutil.rmtree(folder, ignore_errors=True)
            raise InputError(
                f"the order can't be written: {error.strerror or error}",
                do="make room in the folder for temporary files",
            ) from error
        said = (
            f"The test piece for mesh {mesh} with {ink} lies open as an order.",
            f"What is read of it is entered under Readings, or in {FORM} with prep log readings {FORM}.",
        )
        return Taken(said, opens=folder, files=(Document(FORM, files[FORM].encode()),))

    part = FormPart("piece", "", chosen_from(shop), {})
    return ViewPage(
        "Test piece",
        (Section("job", "What it is", tuple(map(Paragraph, about)), 10),),
        forms=(EntryForm("make", "Make one", (part,), "Lay its order open", take),),
    )


def weighed() -> tuple[tuple[int, ...], int, int]:
    """Give the minutes at which the screen is weighed, how many shirts are, and their strokes."""
    return SCREEN_AT_MIN, SHIRTS, STROKES


def printed(mesh: str, ink: str, shop_file: Path | None) -> Printed:
    """Reckon what is known of a print of the piece before it is made; takes seconds.

    :raises InputError: the shop has no such mesh or ink, or the order can't be used with it
    :raises PluginFailed: nobody reckons ink
    """
    return printed_on(mesh, ink, shop_file, shop_of(shop_file))
