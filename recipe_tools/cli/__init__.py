"""The command line: the only place that prints, asks, exits or looks at the calendar."""

from __future__ import annotations

import errno
import gc
import importlib
import io
import os
import sys
from collections.abc import Sequence

import click

from recipe_tools import __version__
from recipe_tools.cli.manual import ManualGroup

PROGRAM = "recipe-tools"

COMMANDS = {
    "annotate": ("annotate", "Write the results into the notes of the recipes."),
    "audit": ("audit", "Check a whole archive and sum it up."),
    "baseline": ("baseline", "Accept the findings there are, or forget those that are gone."),
    "cache": ("cache", "Clear the results kept from earlier runs."),
    "check": ("check", "Check recipe files and folders."),
    "compare": ("compare", "Say what has changed between two versions of a recipe."),
    "convert": ("convert", "Write a file in the other standard."),
    "dose": ("dose", "Propose salts, acid or dilution for a recipe."),
    "explain": ("explain", "Say why a rule exists and where its numbers come from."),
    "reading": ("reading", "Hold a measured mash pH against its prediction."),
    "rules": ("rules", "List all rules."),
    "start": ("start", "Ask for your water, brewery and shelf; write them down."),
    "tidy": ("tidy", "Write files as their standard asks."),
    "water": ("water", "Read a water report and check it."),
}
"""Command -> module of this package, and the line shown in the list of commands."""


class CommandsOnDemand(ManualGroup):
    """Imports the module of a command only when that command is run."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands that exist."""
        return [name for name in sorted(COMMANDS) if _exists(name)]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command, or None where there is none of that name."""
        if cmd_name not in COMMANDS or not _exists(cmd_name):
            return None
        module = importlib.import_module(f"recipe_tools.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing any."""
        rows = [(name, COMMANDS[name][1]) for name in self.list_commands(ctx)]
        with formatter.section("Commands"):
            formatter.write_dl(rows)


def _exists(name: str) -> bool:
    from importlib.util import find_spec

    return find_spec(f"recipe_tools.cli.{COMMANDS[name][0]}") is not None


@click.group(
    cls=CommandsOnDemand,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
@click.version_option(__version__, prog_name=PROGRAM)
def cli() -> None:
    """Check the water, salts, acids and mash pH of beer recipes before brew day.

    Reads BeerXML 1.0 and BeerJSON 1.0. `recipe-tools check FILE` is the main job.
    """


def main() -> None:
    """Run the command line and exit: 0 to 3 as `explain exit-codes` says, 130 after Ctrl-C."""
    # A run makes many objects that live to its end; looking for garbage among them is wasted time.
    gc.set_threshold(100_000, 50, 100)
    # What the code page of a terminal lacks appears as an escape.
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    sys.exit(run())


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code. arguments: those of the process if None."""
    try:
        result = cli.main(arguments, prog_name=PROGRAM, standalone_mode=False)
        sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except click.exceptions.Exit as ended:
        return ended.exit_code
    except click.ClickException as error:
        error.show(sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130
    except click.Abort as error:
        # click makes an interrupt of every EOFError, also of one that torn files have caused.
        return _failed(error.__cause__) if isinstance(error.__cause__, EOFError) else 130
    except OSError as error:
        let_go_of_output()
        # The reader went away; what it read is all it wanted.
        return 0 if is_closed_pipe(error) else _failed(error, error.strerror or "")
    except ModuleNotFoundError as error:
        package = (error.name or "").partition(".")[0]
        if package == "recipe_tools":
            return _failed(error)
        click.echo(
            f"{PROGRAM} needs the package {package} for this, which is not installed: "
            f"python -m pip install {package}",
            err=True,
        )
        return 3
    except Exception as error:  # whatever went wrong, a user gets a sentence and exit code 3
        # sqlite3 is imported only where it is used; its messages are about the disk.
        return _failed(error, str(error) if type(error).__module__ == "sqlite3" else "")


def is_closed_pipe(error: OSError) -> bool:
    """Tell whether the other end of a pipe went away; Windows calls that an invalid argument."""
    invalid = error.errno == errno.EINVAL and error.filename is None
    return isinstance(error, BrokenPipeError) or (invalid and sys.platform == "win32")


def let_go_of_output() -> None:
    """Drop what could not be written; Python would try once more, and complain, at exit."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _failed(error: BaseException, reason: str = "") -> int:
    ending = f" ({reason[0].lower()}{reason[1:]})." if reason else ". Please report it."
    click.echo(f"{PROGRAM} failed: {failure(error)}{ending}", err=True)
    return 3


def failure(error: BaseException) -> str:
    """Describe an exception by its kind and place, without paths of the machine."""
    place = "?"
    frame = error.__traceback__
    while frame is not None:
        place = f"{os.path.basename(frame.tb_frame.f_code.co_filename)}:{frame.tb_lineno}"  # noqa: PTH119
        frame = frame.tb_next
    return f"{type(error).__name__} in {place}"
