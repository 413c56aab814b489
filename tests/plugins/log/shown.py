"""Pages as they are looked at, and their forms as they are sent."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError
from prep.sections import Block, Paragraph, Table
from prep.views import EntryForm, Place, Taken, View, ViewPage
from prep_log import prep_views


def log_of(shop: Path) -> Path:
    return shop.with_name("log.sqlite")


def view(name: str = "log") -> View:
    (found,) = (one for one in prep_views() or () if one.name == name)
    return found


def page(shop: Path, *address: str, of: str = "log") -> ViewPage:
    return view(of).show(address, Place(shop))


def form(shown: ViewPage, name: str) -> EntryForm:
    (found,) = (one for one in shown.forms if one.name == name)
    return found


def take(shown: ViewPage, name: str, **typed: Any) -> Taken:
    """Send a form of one part."""
    found = form(shown, name)
    (part,) = found.parts
    assert typed.keys() <= {f.alias or key for key, f in part.model.model_fields.items()}
    return found.take({part.key: typed})


def refused(shown: ViewPage, name: str, **typed: Any) -> str:
    with pytest.raises(InputError) as error:
        take(shown, name, **typed)
    return "\n".join(error.value.lines())


def blocks(shown: ViewPage) -> list[Block]:
    return [block for section in shown.sections for block in section.blocks]


def said(shown: ViewPage) -> str:
    """All words of a page."""
    found = []
    for block in blocks(shown):
        if isinstance(block, Paragraph):
            found.append(block.text)
        elif isinstance(block, Table):
            found += [" | ".join(row) for row in block.rows]
    return "\n".join(found)


def given(shown: ViewPage, name: str) -> Mapping[str, Any]:
    return form(shown, name).parts[0].given
