"""What the log's readings put in place of guesses in every later job."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from prep_log.learnt import Told, as_settings, figures
from prep_log.place import log_file
from prep_log.store import reading
from prep_log.usual import usual

if TYPE_CHECKING:
    from prep_log.store import Entry


def learnt_here(own: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Give figures in the shape of shop.toml; ``None`` where there is no log or nothing was read.

    :param own: the table ``[log]`` of shop.toml as it is written
    :raises InputError: the log can't be read
    """
    file = log_file(None, own)
    if not file.exists():
        return None
    with reading(file) as store:
        found = told(store.readings())
    return as_settings(figures(found, usual())) or None


def told(entries: Iterable[Entry]) -> list[Told]:
    """Give readings as they were entered, each as its latest correction has it, oldest first."""
    oldest_first = sorted(entries, key=lambda entry: (entry.day, entry.id))
    return [Told(entry.day, str(entry.body.get("of", "")), entry.body) for entry in oldest_first]
