"""Plugins are asked one at a time; each answer and each failure has a name."""

from __future__ import annotations

import types
from collections.abc import Iterator

import pytest

from prep.errors import InputError, PluginFailed
from prep.findings import Finding
from prep.hookspecs import hookimpl
from prep.plugins import Plugin, Plugins, find_plugins, installed_names


def plugin(name: str, **hooks: object) -> Plugin:
    """Make a plugin from functions."""
    module = types.ModuleType(name)
    for hook, function in hooks.items():
        setattr(module, hook, hookimpl(function))
    return Plugin(name, module, f"{name} 1.0")


NOTE = Finding("note", "a kind", "what", "why", "do")


def test_gather_stamps_each_value_with_its_plugin() -> None:
    """What a plugin yields carries the plugin's name afterwards."""
    plugins = Plugins(
        [plugin("b", prep_findings=lambda: [NOTE]), plugin("a", prep_findings=lambda: [NOTE])]
    )
    found = plugins.gather("prep_findings", Finding, job=None, marks=(), ask=None)
    assert [(name, [f.by for f in values]) for name, values in found] == [
        ("a", ["a"]),
        ("b", ["b"]),
    ]


def test_a_hook_takes_only_the_arguments_it_needs() -> None:
    """An implementation may leave out arguments it has no use for."""

    def findings(marks: object) -> list[Finding]:
        return [Finding("note", str(marks), "what", "why", "do")]

    plugins = Plugins([plugin("a", prep_findings=findings)])
    (found,) = plugins.gather_from("a", "prep_findings", Finding, job=None, marks=7, ask=None)
    assert found.kind == "7"


def test_a_plugin_that_raises_half_way_is_named() -> None:
    """A generator's failure belongs to its plugin, and the message says how to go on without it."""

    def findings() -> Iterator[Finding]:
        yield NOTE
        raise ZeroDivisionError("no mesh")

    plugins = Plugins([plugin("a", prep_findings=findings)])
    with pytest.raises(PluginFailed, match=r"plugin a: .*no mesh.*--without a"):
        plugins.gather_from("a", "prep_findings", Finding, job=None, marks=(), ask=None)


def test_an_error_of_ours_passes_through_a_plugin() -> None:
    """A plugin that refuses bad input does so in its own words."""

    def findings() -> list[Finding]:
        raise InputError("no such mesh", where="order.toml", do="name one in stock")

    plugins = Plugins([plugin("a", prep_findings=findings)])
    with pytest.raises(InputError, match="order.toml: no such mesh; name one in stock"):
        plugins.gather_from("a", "prep_findings", Finding, job=None, marks=(), ask=None)


@pytest.mark.parametrize("given", [NOTE, 7, ["text"], [NOTE, None]])
def test_a_wrong_type_is_the_plugins_fault(given: object) -> None:
    """One value instead of several, or values of another type, name the plugin."""
    plugins = Plugins([plugin("a", prep_findings=lambda: given)])
    with pytest.raises(PluginFailed, match="plugin a: prep_findings must give"):
        plugins.gather_from("a", "prep_findings", Finding, job=None, marks=(), ask=None)


def test_a_misspelt_hook_fails_loudly() -> None:
    """A hook that doesn't exist is never silently unused."""
    with pytest.raises(PluginFailed, match="plugin a: .*prep_finding"):
        Plugins([plugin("a", prep_finding=lambda: [])])  # noqa: PIE807  # pluggy wants a function


def test_two_plugins_of_one_name_are_an_error() -> None:
    """The settings table of a name can't belong to two packages."""
    with pytest.raises(PluginFailed, match="two packages"):
        Plugins([plugin("a"), plugin("a")])


def test_a_plugin_left_out_is_not_asked() -> None:
    """``--without`` takes a plugin out before it gets a say, failures included."""
    broken = PluginFailed("b", "can't be imported")
    plugins = Plugins([plugin("a")], failures=[broken], without=["a", "b"])
    assert (plugins.names, plugins.failures, plugins.without) == ((), (), ("a", "b"))


def test_every_installed_plugin_can_be_imported() -> None:
    """The plugins shipped with this package load, each under its entry-point name."""
    plugins = find_plugins()
    assert not plugins.failures
    assert plugins.names == installed_names()
    assert set(plugins.names) >= {"fill_in", "ink", "registration", "sheet", "stencils"}


def test_an_unknown_plugin_cannot_be_left_out() -> None:
    """A typing slip after ``--without`` would leave nothing out, unnoticed."""
    with pytest.raises(
        InputError, match=r"--without: no plugin is called imk; installed are: .*ink"
    ):
        find_plugins(["imk"])
