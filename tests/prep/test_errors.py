"""Every error reads as lines a printer can act on, and survives the way back from the worker."""

from __future__ import annotations

import pickle

import pytest

from prep import errors
from prep.errors import (
    ArtworkRefused,
    InputError,
    OurFault,
    OutputError,
    PluginFailed,
    PrepError,
    Reason,
    SettingsError,
    Unanswered,
    WorkStopped,
)

REASONS = (
    Reason('text "Regatta", line 14', "is not drawn as outlines", "turn text into paths"),
    Reason("", "no shapes", ""),
)
ONE_OF_EACH: list[PrepError] = [
    PrepError("plain"),
    InputError("no such file", where="a.svg", do="check its name"),
    SettingsError("x", where="w", do="d", more=(SettingsError("y"), SettingsError("z", do="e"))),
    ArtworkRefused(REASONS, where="a.svg"),
    OutputError("is full", where="disk"),
    WorkStopped("took longer than 2 s", do="simplify"),
    Unanswered("nobody answers"),
    OurFault("a defect"),
    PluginFailed("trap", "raised KeyError"),
]


def test_each_kind_is_tried_here() -> None:
    """A new kind of error must be added to these tests."""
    kinds = {
        kind
        for kind in vars(errors).values()
        if isinstance(kind, type) and issubclass(kind, PrepError)
    }
    assert kinds == {type(error) for error in ONE_OF_EACH}


@pytest.mark.parametrize("error", ONE_OF_EACH, ids=lambda error: type(error).__name__)
def test_errors_survive_pickling(error: PrepError) -> None:
    """Errors cross from the worker as what they were."""
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is type(error)
    assert back.lines() == error.lines()
    assert str(back) == str(error)
    assert vars(back).keys() == vars(error).keys()
    assert back.exit_status == error.exit_status


@pytest.mark.parametrize(
    ("error", "status"),
    [
        (InputError("x"), 2),
        (SettingsError("x"), 2),
        (ArtworkRefused(REASONS), 2),
        (OutputError("x"), 2),
        (WorkStopped("x"), 2),
        (OurFault("x"), 3),
        (PluginFailed("p", "x"), 3),
        (PrepError("x"), 3),
    ],
)
def test_exit_status(error: PrepError, status: int) -> None:
    """What she gave ends with 2, what we did wrong with 3."""
    assert error.exit_status == status


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (
            InputError("is empty", where="a.svg", do="draw something"),
            "a.svg: is empty; draw something",
        ),
        (InputError("is empty", where="a.svg"), "a.svg: is empty"),
        (InputError("is empty", do="draw something"), "is empty; draw something"),
        (InputError("is empty"), "is empty"),
        (InputError("is\n  very\t empty"), "is very empty"),
        (
            PluginFailed("trap", "raised"),
            "plugin trap: raised; to go on without it: --without trap",
        ),
        (PrepError("two\nlines"), "two lines"),
    ],
)
def test_one_line(error: PrepError, said: str) -> None:
    """where: what; do, on one line."""
    assert error.lines() == (said,)


def test_a_refusal_tells_every_reason() -> None:
    """One line for each, with the file's name before it; the first is the message."""
    refused = ArtworkRefused(REASONS, where="a.svg")
    assert refused.lines() == (
        'a.svg: text "Regatta", line 14: is not drawn as outlines; turn text into paths',
        "a.svg: no shapes",
    )
    assert str(refused) == refused.lines()[0]


def test_a_refusal_needs_a_reason() -> None:
    """A refusal that can't say why is a mistake of ours."""
    with pytest.raises(ValueError, match="at least one reason"):
        ArtworkRefused(())


def test_settings_errors_tell_those_that_came_with_them() -> None:
    """Each has a line of its own, in order, however deep."""
    deep = SettingsError("c", more=(SettingsError("d", where="f"),))
    error = SettingsError("a", where="f", do="do a", more=(SettingsError("b"), deep))
    assert error.lines() == ("f: a; do a", "b", "c", "f: d")
    assert str(error) == "f: a; do a"


@pytest.mark.parametrize("sign", ["\x1b", "\x07", "\x9b", "\x00", "\u202e", "\ud800", "\x7f"])
def test_control_signs_never_reach_the_terminal(sign: str) -> None:
    """A name in a file can't move the cursor, ring the bell or turn the text around."""
    for error in (
        InputError(f"a{sign}b", where=f"x{sign}", do=f"{sign}y"),
        SettingsError(f"a{sign}b", more=(SettingsError(f"{sign}"),)),
        ArtworkRefused((Reason(f"{sign}", f"{sign}", f"{sign}"),)),
        PluginFailed(f"p{sign}", f"{sign}"),
        PrepError(f"a{sign}b"),
    ):
        for line in error.lines():
            assert sign not in line
            assert line.isprintable()
            line.encode()
