"""The command ``prep register-test``: writes the test print, and reckons with its readings."""

from __future__ import annotations

from pathlib import Path

from prep.console import out
from prep.errors import InputError, OutputError
from prep_registration.readings import COLUMNS, Part, Readings, parse, reckon
from prep_registration.verniers import COLOURS, LINES, Drawing, draw

_PRINTS = 10


def make(
    folder: Path, screens: int, width_mm: float, step_mm: float, *, laid_again: bool = False
) -> None:
    """Write the drawing, an order for it, and an empty table of readings into a new folder.

    :param laid_again: each print is taken up and laid again between screens
    :raises InputError: a figure out of its range
    :raises OutputError: the folder is there already, or can't be written
    """
    try:
        drawing = draw(screens, width_mm, step_mm)
    except ValueError as error:
        raise InputError(str(error), where="register-test") from error
    files = {
        "register-test.svg": drawing.svg,
        "order.toml": _order(drawing),
        "readings.csv": _table(drawing, screens, step_mm),
    }
    try:
        folder.mkdir(parents=True)
        for name, text in files.items():
            (folder / name).write_text(text, encoding="utf-8")
    except FileExistsError as error:
        raise OutputError(
            "is there already, perhaps with readings in it",
            where=str(folder),
            do="choose another folder with --out",
        ) from error
    except OSError as error:
        raise OutputError(
            f"can't be written: {error.strerror or error}",
            where=str(folder),
            do="choose another folder with --out",
        ) from error
    out(
        f"{folder}/register-test.svg, {drawing.width_mm:g} × {drawing.height_mm:g} mm, {screens} screens"
    )
    out(f"Cut and print it:  prep sheet {folder / 'order.toml'}")
    if laid_again:
        out(
            "Take each print up after every screen, and lay it again as you lay shirts for the next."
        )
    out(
        f"Line the screens up as for a job, and pull {_PRINTS} prints. On each print look which line of a"
    )
    out(
        f"later screen stands on a line of the first: each line from the middle is {step_mm:g} mm. Right"
    )
    out(
        "and down count as plus. Take the screens out, set them up anew, and pull again: each time is a"
    )
    out(f"run. Write what you read into {folder / 'readings.csv'}, then:")
    again = " --laid-again" if laid_again else ""
    out(f"  prep register-test --readings {folder / 'readings.csv'}{again}")


def read(file: Path, step_mm: float, *, laid_again: bool = False) -> None:
    """Print the press's error from a table of readings, as lines for shop.toml.

    :param step_mm: what one line of the scales tells, where the table doesn't say it
    :param laid_again: each print was taken up and laid again between screens
    :raises InputError: the table can't be read or says too little
    """
    try:
        readings, empty = parse(file.read_text(encoding="utf-8-sig"), step_mm)
        found = reckon(readings)
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            f"can't be read: {getattr(error, 'strerror', None) or 'it is no UTF-8 text'}",
            where=str(file),
            do="name the readings.csv that the test was made with",
        ) from error
    except ValueError as error:
        what, _, do = str(error).partition("; ")
        raise InputError(what, where=str(file), do=do) from error
    setups = "1 set-up" if found.setups == 1 else f"{found.setups} set-ups"
    out(f"# {found.prints} prints of {setups} were read" + _left_out(empty))
    out("# put this into shop.toml; beside each, where it lies in nine cases of ten")
    out("[press]")
    for line in _lines(found, laid_again=laid_again):
        out(line)
    if found.runs < _PRINTS:
        out(
            "# more runs, screens set up anew for each, would tell set_up_error and set_up_turn closer"
        )


def _left_out(empty: int) -> str:
    if not empty:
        return ""
    return (
        "; 1 row is empty and left out" if empty == 1 else f"; {empty} rows are empty and left out"
    )


def _lines(found: Readings, *, laid_again: bool) -> list[str]:
    again = "_laid_again" if laid_again else ""
    rows = (
        ("set_up_error", found.set_up_mm, "mm"),
        (f"scatter{again}", found.scatter_mm, "mm"),
        ("set_up_turn", found.set_up_turn_deg, "deg"),
        (f"scatter_turn{again}", found.scatter_turn_deg, "deg"),
    )
    return [_line(name, part, unit) for name, part, unit in rows]


def _line(name: str, part: Part, unit: str) -> str:
    digits = 2 if unit == "mm" else 3
    value, low, high = (f"{v:.{digits}f}" for v in (part.value, part.low, part.high))
    if not float(high):
        return f"# {name} is less than these readings tell; leave it out, or test with a smaller --step"
    return f'{name} = "{value} {unit}"  # {low} to {high} {unit}'


def _order(drawing: Drawing) -> str:
    return (
        "# The register test: print it on scrap of the cloth you print on.\n"
        'name = "register test"\n\n'
        "[[print]]\n"
        'place = "front"\n'
        'artwork = "register-test.svg"\n'
        f'width = "{drawing.width_mm:g} mm"\n\n'
        "[[garment]]\n"
        'name = "scrap"\n'
        'colour = "#ffffff"\n'
        f"sizes = {{ any = {_PRINTS} }}\n"
    )


def _table(drawing: Drawing, screens: int, step_mm: float) -> str:
    reach_mm = LINES * step_mm
    lines = [
        "# What the scales of each print show, in mm, right and down plus, off to the left and up minus.",
        f"# One line is {step_mm:g} mm; they tell up to {reach_mm:g} mm either way. Left and right are the",
        "# scales at the left and at the right; _x those across, _y those up and down. A new run is a",
        "# set-up made anew: copy the rows and count run up. Rows left empty don't count.",
        ",".join(COLUMNS),
    ]
    lines += [
        f"1,{number},{screen},,,,,{drawing.apart_mm:g}"
        for screen in range(2, screens + 1)
        for number in range(1, _PRINTS + 1)
    ]
    lines.append(f"# screens: {', '.join(f'{n + 1} = {COLOURS[n]}' for n in range(screens))}")
    return "\n".join(lines) + "\n"
