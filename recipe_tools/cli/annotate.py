"""``recipe-tools annotate``: the results written into the notes of the recipes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.annotate.annotating import Annotated, Wish, annotate_bytes
from recipe_tools.cli.annotate_summary import Outcome, Task, tell
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import CLEAN, FOUND, INCOMPLETE
from recipe_tools.cli.rewriting import Destination, rewritten_files
from recipe_tools.cli.shared import RunOptions, checking_options

if TYPE_CHECKING:
    from recipe_tools.checking.judging import FileRequest
    from recipe_tools.config import Options


@click.command("annotate", cls=Manual)
@click.argument("paths", nargs=-1, required=True, type=click.Path(), metavar="PATH...")
@click.option("--in-place", is_flag=True, help="Write into the files themselves.")
@click.option(
    "--output-dir",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Write copies to this folder, under the paths the files have.",
)
@click.option("--diff", is_flag=True, help="Show what changes; without destination the default.")
@click.option("--check", is_flag=True, help="Write nothing; exit 1 where a block is out of date.")
@click.option("--all", "every", is_flag=True, help="With --check: each recipe is to have one.")
@click.option("--remove", is_flag=True, help="Take the blocks out and restore what was there.")
@click.option(
    "--accept-repairs",
    is_flag=True,
    help="Also write files that can only be read with repairs, repaired.",
)
@click.option(
    "--format",
    "summary_format",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="Summary on standard output.",
)
@checking_options
def command(
    paths: tuple[str, ...],
    in_place: bool,
    output_dir: Path | None,
    diff: bool,
    check: bool,
    every: bool,
    remove: bool,
    accept_repairs: bool,
    summary_format: str,
    given: RunOptions,
) -> int:
    """Write the results into the notes of the recipes.

    Each recipe gets a marked block in its notes; a later run replaces it, and
    --remove takes it out. Nothing else in a file changes by a byte. Without
    --in-place or --output-dir the changes are shown and nothing is written.
    """
    to = Destination.given(in_place, output_dir, diff, check)
    if every and (remove or not check):
        raise click.UsageError("--all goes with --check: it asks for a block in every recipe.")
    wish = Wish(remove=remove, accept_repairs=accept_repairs)

    def annotate(data: bytes, path: str, options: Options, request: FileRequest) -> Annotated:
        return annotate_bytes(data, path, options, request, wish)

    task = Task(wish, to, every, summary_format == "json")
    delivered = rewritten_files(paths, to, given, annotate, "annotated")
    outcomes = [Outcome.of(item) for item in delivered]
    tell(outcomes, task)
    if any(item.status == "refused" for item in outcomes):
        return INCOMPLETE
    return FOUND if check and any(task.asks_for(item) for item in outcomes) else CLEAN
