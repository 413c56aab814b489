"""Finds the plugins, asks them one at a time, and makes sure that each answer has a name and a type."""

from __future__ import annotations

import dataclasses
import importlib.metadata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import ModuleType
from typing import Any, TypeVar

import pluggy

from prep import hookspecs
from prep.errors import InputError, PluginFailed, PrepError, Unanswered

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Plugin:
    """A plugin that could be imported.

    :param name: its entry-point name; also the name of its settings tables
    :param distribution: name and version of the package that ships it
    """

    name: str
    module: ModuleType
    distribution: str

    @property
    def gives(self) -> tuple[str, ...]:
        """Hooks it implements, without the ``prep_`` before each."""
        return tuple(hook.removeprefix("prep_") for hook in _HOOKS if hasattr(self.module, hook))


_HOOKS = tuple(name for name in vars(hookspecs) if name.startswith("prep_"))


class Plugins:
    """The plugins of one run, asked one at a time in the order of their names."""

    def __init__(
        self,
        plugins: Iterable[Plugin] = (),
        *,
        failures: Iterable[PluginFailed] = (),
        without: Iterable[str] = (),
    ) -> None:
        """Register plugins.

        :param failures: plugins that couldn't be imported
        :param without: names left out on request
        :raises PluginFailed: two plugins of one name, or a hook that doesn't exist
        """
        self.without = tuple(sorted(set(without)))
        self.failures = tuple(f for f in failures if f.plugin not in self.without)
        self._by_name: dict[str, Plugin] = {}
        self._manager = pluggy.PluginManager("prep")
        self._manager.add_hookspecs(hookspecs)
        for plugin in sorted(plugins, key=lambda p: p.name):
            if plugin.name in self.without:
                continue
            if plugin.name in self._by_name:
                twin = self._by_name[plugin.name]
                raise PluginFailed(
                    plugin.name,
                    f"two packages give it: {twin.distribution} and {plugin.distribution}",
                )
            try:
                self._manager.register(plugin.module, name=plugin.name)
                self._manager.check_pending()
            except (pluggy.PluginValidationError, ValueError) as error:
                raise PluginFailed(
                    plugin.name, f"has a hook that can't be used: {error}"
                ) from error
            self._by_name[plugin.name] = plugin

    def __iter__(self) -> Iterator[Plugin]:
        return iter(self._by_name.values())

    def __len__(self) -> int:
        return len(self._by_name)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the plugins in force, sorted."""
        return tuple(self._by_name)

    def arguments_of(self, name: str, hook: str) -> tuple[str, ...] | None:
        """Give the arguments that a plugin takes in a hook, ``None`` where it doesn't implement it."""
        implemented = getattr(self._manager.hook, hook).get_hookimpls()
        return next((tuple(i.argnames) for i in implemented if i.plugin_name == name), None)

    def can_ask(self, hook: str) -> bool:
        """Say whether a hook is handed ``ask``."""
        return "ask" in getattr(self._manager.hook, hook).spec.argnames

    def call(self, name: str, hook: str, **arguments: object) -> Any:
        """Call one plugin's hook and give its raw result, ``None`` when it has no such hook.

        :raises PluginFailed: it raised; :class:`PrepError` passes as it is
        """
        others = [p.module for other, p in self._by_name.items() if other != name]
        caller = self._manager.subset_hook_caller(hook, remove_plugins=others)
        try:
            return caller(**arguments)
        except Unanswered as error:
            if "ask" not in arguments:
                raise failure_of(name, hook, error) from error
            raise
        except PrepError:
            raise
        except (Exception, SystemExit) as error:
            raise failure_of(name, hook, error) from error

    def each(self, hook: str, kind: type[T], **arguments: object) -> list[tuple[str, T]]:
        """Ask every plugin for one value.

        :return: (plugin's name, value) for those that gave one
        :raises PluginFailed: a plugin raised or gave something else
        """
        answers = []
        for name in self._by_name:
            value = self.call(name, hook, **arguments)
            if value is not None:
                answers.append((name, _checked(name, hook, value, kind)))
        return answers

    def learn(self, written: Mapping[str, Any]) -> list[tuple[str, Mapping[str, Any]]]:
        """Ask every plugin what was measured here.

        :param written: shop.toml as it is written
        :return: (plugin's name, figures in the shape of shop.toml) for those that gave some
        :raises PluginFailed: a plugin raised or gave something else
        """
        found: list[tuple[str, Mapping[str, Any]]] = []
        for name in self._by_name:
            own = written.get(name)
            given = self.call(name, "prep_learnt", own=own if isinstance(own, Mapping) else {})
            if given is not None:
                if not isinstance(given, Mapping):
                    raise PluginFailed(name, f"prep_learnt must give a mapping, not {_a(given)}")
                found.append((name, given))
        return found

    def gather(
        self, hook: str, kind: type[T], **arguments: object
    ) -> Iterator[tuple[str, list[T]]]:
        """Ask every plugin for any number of values, each stamped ``by=`` where it has such a field.

        :return: (plugin's name, values), one plugin after another
        :raises PluginFailed: a plugin raised, also half-way, or gave something else
        """
        for name in self._by_name:
            yield name, self.gather_from(name, hook, kind, **arguments)

    def gather_from(self, name: str, hook: str, kind: type[T], **arguments: object) -> list[T]:
        """Ask one plugin for any number of values; see :meth:`gather`."""
        value = self.call(name, hook, **arguments)
        if value is None:
            return []
        if isinstance(value, kind) or not isinstance(value, Iterable):
            raise PluginFailed(name, f"{hook} must give several {kind.__name__}, not {_a(value)}")
        try:
            values = list(value)
        except Unanswered as error:
            if "ask" not in arguments:
                raise failure_of(name, hook, error) from error
            raise
        except PrepError:
            raise
        except (Exception, SystemExit) as error:
            raise failure_of(name, hook, error) from error
        return [_stamped(name, _checked(name, hook, item, kind)) for item in values]


def failure_of(name: str, where: str, error: BaseException) -> PluginFailed:
    """Say in one line how a plugin failed."""
    return PluginFailed(name, f"failed in {where}: {type(error).__name__}: {error}")


def _checked(name: str, hook: str, value: object, kind: type[T]) -> T:
    if not isinstance(value, kind):
        raise PluginFailed(name, f"{hook} must give {kind.__name__}, not {_a(value)}")
    return value


def _a(value: object) -> str:
    return type(value).__name__


def _stamped(name: str, value: T) -> T:
    if dataclasses.is_dataclass(value) and any(f.name == "by" for f in dataclasses.fields(value)):
        return dataclasses.replace(value, by=name)  # type: ignore[type-var]  # it is a dataclass
    return value


def find_plugins(without: Iterable[str] = ()) -> Plugins:
    """Import every plugin installed in this environment.

    One that can't be imported is kept as a failure, so that ``prep plugins`` can show it and a job
    refuses to go on silently without it.

    :raises PluginFailed: two packages give a plugin of one name
    :raises InputError: ``without`` names a plugin that isn't installed
    """
    left_out = set(without)
    entries = sorted(importlib.metadata.entry_points(group=hookspecs.GROUP), key=lambda e: e.name)
    installed = sorted({entry.name for entry in entries})
    if unknown := sorted(left_out - set(installed)):
        raise InputError(
            f"no plugin is called {unknown[0]}",
            where="--without",
            do=f"installed are: {', '.join(installed)}",
        )
    found, failures = [], []
    # a package's metadata are read anew whenever they are asked for, and one may ship many plugins
    packages = {id(entry.dist): entry.dist for entry in entries if entry.name not in left_out}
    names = {key: f"{one.name} {one.version}" for key, one in packages.items() if one}
    for entry in entries:
        if entry.name in left_out:
            continue
        shipped_by = names.get(id(entry.dist), "unknown package")
        try:
            module = entry.load()
        except Exception as error:  # a stranger's module may raise anything while it is imported
            failures.append(
                PluginFailed(entry.name, f"can't be imported: {type(error).__name__}: {error}")
            )
            continue
        found.append(Plugin(entry.name, module, shipped_by))
    return Plugins(found, failures=failures, without=left_out)


def installed_names() -> tuple[str, ...]:
    """Names of all plugins installed, imported or not."""
    return tuple(sorted({e.name for e in importlib.metadata.entry_points(group=hookspecs.GROUP)}))
