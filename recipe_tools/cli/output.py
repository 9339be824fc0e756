"""Reports on their way out: standard output, files, and the exit code that goes with them."""

from __future__ import annotations

import errno
import os
import stat
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.checking.checklist import catalogue
from recipe_tools.cli import is_closed_pipe, let_go_of_output
from recipe_tools.cli.shared import RunOptions
from recipe_tools.reports import render
from recipe_tools.reports.terminal import Ink, unobeyed, visible
from recipe_tools.results import Run

if TYPE_CHECKING:
    from recipe_tools.archive.recipe_comparison import RecipeComparison

CLEAN, FOUND, INCOMPLETE = 0, 1, 3
"""Exit codes; click itself ends with 2 for wrong use."""

_CONSOLE_OUTPUT, _TERMINAL_SEQUENCES = -11, 0x0004
"""STD_OUTPUT_HANDLE and ENABLE_VIRTUAL_TERMINAL_PROCESSING of the Windows console (from memory)."""


def deliver(run: Run, given: RunOptions, changed: Sequence[RecipeComparison] = ()) -> int:
    """Write all reports that were asked for and return the exit code.

    changed: before and after of changed recipes, for the comment on a change.
    A report that cannot be made or written is said on standard error and gives exit code 3; the
    others are written all the same.
    """
    complete = not run.incomplete
    for name, file in given.outputs:
        try:
            write_file(
                file, rendered(name, run, given, changed, colour=False), machine=name != "text"
            )
        except OSError as error:
            say(f"The {name} report could not be written to {file}: {error.strerror}.")
            complete = False
    code = FOUND if run.reaches(given.fail_on) else CLEAN
    code = code if complete else INCOMPLETE
    write_out(
        rendered(given.format_name, run, given, changed, colour=wants_colour(given.color)),
        machine=given.format_name != "text",
    )
    return code


def rendered(
    name: str,
    run: Run,
    given: RunOptions,
    changed: Sequence[RecipeComparison] = (),
    *,
    colour: bool,
) -> str:
    """Return a report; only the text report knows colour and how much to say."""
    rules = {**catalogue(), **{rule.id: rule for rule in run.own_rules}}
    if name == "markdown" and changed:
        from recipe_tools.reports import markdown

        return markdown.render(run, rules, changed)
    if name != "text":
        return render(name, run, rules)
    from recipe_tools.reports import text

    view = text.View(Ink(colour), verbose=given.verbose)
    return text.render(run, rules, view)


def wants_colour(choice: str) -> bool:
    """Tell whether standard output gets colour: asked for, or a terminal not refusing it."""
    if choice != "auto":
        return choice == "always"
    refused = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return sys.stdout.isatty() and not refused and _knows_colour()


def _knows_colour() -> bool:
    """Tell whether the terminal takes colours for what they are; that of Windows has to be told."""
    if sys.platform != "win32":
        return True
    import ctypes

    system, mode = ctypes.windll.kernel32, ctypes.c_ulong()
    console = system.GetStdHandle(_CONSOLE_OUTPUT)
    known = system.GetConsoleMode(console, ctypes.byref(mode))
    return bool(known and system.SetConsoleMode(console, mode.value | _TERMINAL_SEQUENCES))


def write_out(text: str, *, machine: bool) -> None:
    """Write to standard output: UTF-8 for programs, for people what their terminal can show.

    No line for people begins with a command that a build service would obey. A reader that
    went away is no fault; what it has read is all it wanted.
    """
    write_pieces((text,), machine=machine)


def write_pieces(pieces: Iterable[str], *, machine: bool) -> None:
    """Write a long report to standard output piece by piece, as `write_out` does a short one."""
    encoding = "utf-8" if machine else (sys.stdout.encoding or "utf-8")
    with quiet_pipe():
        sys.stdout.flush()
        for piece in pieces if machine else map(unobeyed, pieces):
            sys.stdout.buffer.write(piece.encode(encoding, "backslashreplace"))
        sys.stdout.buffer.flush()


@contextmanager
def quiet_pipe() -> Iterator[None]:
    """End quietly where the other end of standard output is closed."""
    try:
        yield
    except OSError as error:
        if not is_closed_pipe(error):
            raise
        let_go_of_output()


@contextmanager
def libraries_silenced() -> Iterator[None]:
    """Keep off standard output what a library prints there past Python, as HiGHS does at times."""
    try:
        sys.stdout.flush()
        kept = os.dup(1)
    except OSError:
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    try:
        yield
    finally:
        _flush_c()
        os.dup2(kept, 1)
        os.close(kept)


def _flush_c() -> None:
    """Write out what the C library holds back; else it would come at the end of the program."""
    import ctypes

    # Windows has no handle for the program itself.
    with suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).fflush(None)


def say(text: str) -> None:
    """Write a line to standard error, where it cannot get into a report."""
    click.echo(unobeyed(visible(text)), err=True)


def write_file(path: Path, text: str, *, machine: bool) -> None:
    """Write a text file in full or not at all. Raises OSError."""
    write_file_pieces(path, (text,), machine=machine)


def write_file_pieces(path: Path, pieces: Iterable[str], *, machine: bool) -> None:
    """Write a long text file piece by piece, in full or not at all. Raises OSError."""
    pieces = pieces if machine else map(unobeyed, pieces)
    target = _target(path)
    if path.exists() and not stat.S_ISREG(path.stat().st_mode):
        # A device or pipe, such as /dev/stdout, cannot be replaced by a new file. Not the target: a
        # pipe behind a link has no path of its own.
        with path.open("wb") as device:
            device.writelines(_encoded(pieces))
        return
    import tempfile

    from recipe_tools.editing.writing import file_mask, put_in_place

    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.writelines(_encoded(pieces))
            file.flush()
            os.fsync(file.fileno())
        mode = target.stat().st_mode if target.exists() else 0o666 & ~file_mask()
        Path(name).chmod(stat.S_IMODE(mode))
        put_in_place(Path(name), target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _target(path: Path) -> Path:
    """Return the file a path stands for. Raises OSError for a link of a stranger.

    A repository may hold a link under the name a report is known to get, to a file of the user.
    """
    target = path.resolve()
    current = Path.cwd()
    place = Path(os.path.abspath(path))  # noqa: PTH100  (a link is not followed)
    if (
        path.is_symlink()
        and place.is_relative_to(current)
        and not target.is_relative_to(current.resolve())
        and (not target.exists() or stat.S_ISREG(target.stat().st_mode))
    ):
        raise OSError(errno.ELOOP, "it is a link that leads out of the current folder")
    return target


def _encoded(pieces: Iterable[str]) -> Iterator[bytes]:
    return (piece.encode("utf-8", "backslashreplace") for piece in pieces)
