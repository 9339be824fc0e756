"""``recipe-tools check``: the main job."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

import click

from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import deliver
from recipe_tools.cli.running import STANDARD_INPUT, overrides, run_paths, run_standard_input
from recipe_tools.cli.shared import RunOptions, run_options
from recipe_tools.results import Run

if TYPE_CHECKING:
    from recipe_tools.archive.recipe_comparison import RecipeComparison


@click.command("check", cls=Manual)
@click.argument("paths", nargs=-1, required=True, type=click.Path(), metavar="PATH...")
@click.option("--stdin-name", metavar="NAME", help="With - as PATH: the name the file has.")
@run_options
def command(paths: tuple[str, ...], stdin_name: str | None, given: RunOptions) -> int:
    """Check recipe files and folders.

    Reads BeerXML 1.0 and BeerJSON 1.0, works out water, ions and mash pH of each recipe, and says
    what is wrong, how sure that is, where, and what to do. Hops, yeasts, styles or other records
    without a recipe are held to their standard; so is all with `--only standard,file`, where
    nothing is computed. Folders are searched; files of another kind in them are skipped. A PATH of
    `-` reads one file from standard input.
    """
    if "" in paths:
        raise click.UsageError("A path is empty; write . for the current folder.")
    if STANDARD_INPUT in paths:
        if len(paths) > 1:
            raise click.UsageError("Standard input (-) is checked alone, without other paths.")
        if given.changed_since is not None:
            raise click.UsageError("--changed-since needs files, not standard input.")
        run = run_standard_input(given, _name(stdin_name))
    else:
        if stdin_name is not None:
            raise click.UsageError("--stdin-name is for standard input: give - as the path.")
        run = run_paths(paths, given)
    return deliver(run, given, _comparisons(run, given))


def _comparisons(run: Run, given: RunOptions) -> Sequence[RecipeComparison]:
    """Return before and after of what has changed, where a comment on the change asks for it."""
    formats = (given.format_name, *(name for name, _ in given.outputs))
    if given.changed_since is None or "markdown" not in formats:
        return ()
    from recipe_tools.cli.former import comparisons

    return comparisons(run, given, overrides(given, Path.cwd()))


def _name(given: str | None) -> str:
    """Return the name for standard input. Raises click.UsageError if it leaves the folder."""
    name = given or "standard-input"
    path = PurePosixPath(name.replace("\\", "/"))
    if path.is_absolute() or ".." in path.parts:
        raise click.UsageError("--stdin-name is a path below the current folder.")
    return path.as_posix()
