"""The tree of errors.

    PrepError                 anything Firstpull raises on purpose; never shown as a traceback
    ├── InputError            exit status 2: what she gave can't be used; says where, what, what to do
    │   ├── SettingsError     a wrong key, value or unit in shop.toml, order.toml or the command line
    │   ├── ArtworkRefused    the artwork holds what can't be printed as drawn; all reasons together
    │   ├── OutputError       a folder or file can't be written
    │   └── WorkStopped       the guard's clock or memory limit ended the work
    ├── Unanswered            ask(T) found no answer; caught by whoever can do without
    └── OurFault              exit status 3
        └── PluginFailed      a plugin raised, broke its contract or can't be imported

Each error reads as one line a printer can act on: ``where: what; what to do``.
"""

from __future__ import annotations

from dataclasses import dataclass


class PrepError(Exception):
    """Base of all errors raised on purpose. ``exit_status`` is what the command ends with."""

    exit_status = 3

    def lines(self) -> tuple[str, ...]:
        """Give what to print, one message a line."""
        return (_printable(str(self)),)


class InputError(PrepError):
    """What was given can't be used.

    :param what: what is wrong, in a printer's words
    :param where: file, option or element the trouble sits in
    :param do: what to do next
    """

    exit_status = 2

    def __init__(self, what: str, *, where: str = "", do: str = "") -> None:
        self.what, self.where, self.do = what, where, do
        super().__init__(_one_line(where, what, do))

    def __reduce__(self) -> tuple[object, ...]:
        # keyword-only arguments don't survive pickling by themselves; refusals cross from the worker
        return _rebuild_input, (type(self), self.what, self.where, self.do)


class SettingsError(InputError):
    """A wrong key, value or unit; names file, key, value and what is allowed.

    :param more: further errors found in the same reading, told on lines of their own
    """

    def __init__(
        self, what: str, *, where: str = "", do: str = "", more: tuple[SettingsError, ...] = ()
    ) -> None:
        self.more = more
        super().__init__(what, where=where, do=do)

    def lines(self) -> tuple[str, ...]:
        """Give one line for each error."""
        return (
            _one_line(self.where, self.what, self.do),
            *(m for e in self.more for m in e.lines()),
        )

    def __reduce__(self) -> tuple[object, ...]:
        return _rebuild_settings, (self.what, self.where, self.do, self.more)


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing in the artwork that can't be read as drawn.

    :param element: how to find it: ``text "Regatta" (id title), line 14``
    :param what: what it is and why it can't be printed as drawn
    :param do: what to do in the drawing program
    """

    element: str
    what: str
    do: str


class ArtworkRefused(InputError):
    """The artwork can't be read faithfully. Carries every :class:`Reason` found, not only the first."""

    def __init__(self, reasons: tuple[Reason, ...], *, where: str = "") -> None:
        if not reasons:
            raise ValueError("a refusal needs at least one reason")
        self.reasons = reasons
        first = reasons[0]
        super().__init__(
            f"{first.element}: {first.what}" if first.element else first.what,
            where=where,
            do=first.do,
        )

    def lines(self) -> tuple[str, ...]:
        """Give one line for each reason."""
        return tuple(
            _one_line(self.where, f"{r.element}: {r.what}" if r.element else r.what, r.do)
            for r in self.reasons
        )

    def __reduce__(self) -> tuple[object, ...]:
        return _rebuild_refused, (self.reasons, self.where)


class OutputError(InputError):
    """A folder or file can't be written."""


class WorkStopped(InputError):
    """The guard ended work that took too long or too much memory."""


class Unanswered(PrepError):
    """A question no plugin answers here; ``why`` says the reason and who, if anyone, failed."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(why)


class OurFault(PrepError):
    """A defect of Firstpull itself."""


class PluginFailed(OurFault):
    """A plugin raised, broke its contract or can't be imported.

    :param plugin: its entry-point name
    :param what: what it did wrong
    """

    def __init__(self, plugin: str, what: str) -> None:
        self.plugin, self.what = plugin, what
        super().__init__(f"plugin {plugin}: {what}; to go on without it: --without {plugin}")

    def __reduce__(self) -> tuple[object, ...]:
        return type(self), (self.plugin, self.what)


def _one_line(where: str, what: str, do: str) -> str:
    text = f"{where}: {what}" if where else what
    return _printable(f"{text}; {do}" if do else text)


def _printable(text: str) -> str:
    """Put a message on one line; a control sign in a file's text must not reach the terminal."""
    return "".join(sign if sign.isprintable() else "\ufffd" for sign in " ".join(text.split()))


def _rebuild_settings(
    what: str, where: str, do: str, more: tuple[SettingsError, ...]
) -> SettingsError:
    return SettingsError(what, where=where, do=do, more=more)


def _rebuild_refused(reasons: tuple[Reason, ...], where: str) -> ArtworkRefused:
    return ArtworkRefused(reasons, where=where)


def _rebuild_input(kind: type[InputError], what: str, where: str, do: str) -> InputError:
    return kind(what, where=where, do=do)
