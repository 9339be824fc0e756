"""``recipe-tools annotate``: the results written into the notes of the recipes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import click

from recipe_tools.annotate.annotating import Annotated, Wish, annotate_bytes
from recipe_tools.annotate.differences import unified
from recipe_tools.archive.walk import Discovery, Found, discover, without_any
from recipe_tools.checking.file_bytes import bytes_of
from recipe_tools.checking.judging import FileRequest
from recipe_tools.cli import failure
from recipe_tools.cli.annotate_summary import Outcome, Task, tell
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import CLEAN, FOUND, INCOMPLETE
from recipe_tools.cli.running import baseline_paths, overrides
from recipe_tools.cli.settings import Settings, baseline_file
from recipe_tools.cli.shared import RunOptions, checking_options
from recipe_tools.editing.writing import NotWrittenError, create_file, replace_file
from recipe_tools.findings import Finding


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
    if in_place and output_dir is not None:
        raise click.UsageError("--in-place and --output-dir exclude each other.")
    if check and (in_place or output_dir is not None):
        raise click.UsageError("--check writes nothing: leave --in-place and --output-dir out.")
    if every and (remove or not check):
        raise click.UsageError("--all goes with --check: it asks for a block in every recipe.")
    wish = Wish(remove=remove, accept_repairs=accept_repairs)
    shows = diff or not (in_place or output_dir is not None or check)
    task = Task(wish, in_place, output_dir, shows, check, every, summary_format == "json")
    outcomes = _all(paths, task, given)
    tell(outcomes, task)
    if any(item.status == "refused" for item in outcomes):
        return INCOMPLETE
    return FOUND if check and any(task.asks_for(item) for item in outcomes) else CLEAN


def _all(paths: Sequence[str], task: Task, given: RunOptions) -> list[Outcome]:
    current = Path.cwd()
    # A block lists the findings of its recipe, however many others of the file have the same.
    unlimited = given._replace(limits=replace(given.limits, max_findings_per_rule=10**9))
    settings = Settings(overrides(unlimited, current), current)
    discovery = _without_output(discover(paths, current), task)
    accepted = baseline_file(given.baseline)
    if given.baseline is not None:
        accepted = baseline_paths(given.baseline, discovery, accepted, given).for_run(accepted)
    outcomes = []
    for target in discovery.files:
        in_force = settings(Path(target.path))
        options = in_force.options
        if options.paths:
            options = options.for_path(in_force.path)
        request = FileRequest(
            confidence=given.confidence,
            accepted=accepted.accepted(target.shown),
            config_path=in_force.path,
            named=target.named,
        )
        data = target.refused or bytes_of(target.path, options.limits.max_bytes, target.root)
        if isinstance(data, Finding):
            problem = data.message[0].lower() + data.message[1:].removesuffix(".")
            outcomes.append(Outcome(target.shown, "refused", problem=problem))
            continue
        try:
            result = annotate_bytes(data, target.shown, options, request, task.wish)
        except Exception as error:  # a fault of ours in one file must not end the run
            problem = f"it could not be annotated: {failure(error)}; please report it"
            outcomes.append(Outcome(target.shown, "refused", problem=problem))
            continue
        outcomes.append(_delivered(target, data, result, task, current))
    return [*outcomes, *_not_reached(discovery, outcomes)]


def _without_output(discovery: Discovery, task: Task) -> Discovery:
    """Leave out what earlier runs wrote, where the output folder lies in a folder given."""
    if task.output_dir is None:
        return discovery
    output = task.output_dir.resolve()
    files = tuple(
        file
        for file in discovery.files
        if file.named
        or not Path(file.path).is_relative_to(output)
        or Path(file.root).is_relative_to(output)
    )
    return discovery._replace(files=files)


def _not_reached(discovery: Discovery, outcomes: Sequence[Outcome]) -> Iterator[Outcome]:
    read = {
        file.given
        for file, item in zip(discovery.files, outcomes, strict=True)
        if item.status != "skipped" and file.refused is None
    }
    for folder in without_any(discovery.folders, read):
        yield Outcome(folder.shown, "refused", problem="no recipe was found in this folder")


def _delivered(target: Found, data: bytes, result: Annotated, task: Task, current: Path) -> Outcome:
    """Write the result where it belongs, and say what became of the file."""
    outcome = Outcome(
        target.shown,
        result.status,
        len(result.recipes),
        result.repairs,
        result.problem,
        result.line,
        out_of_date=result.out_of_date,
        without_block=result.without_block,
    )
    if result.status in ("refused", "skipped"):
        return outcome
    if task.diff and result.format is not None:
        difference = unified(data, result.data, result.format, target.shown, result.recipes)
        outcome = replace(outcome, diff=difference)
    try:
        return replace(outcome, output=_written(target, data, result, task, current))
    except NotWrittenError as error:
        return replace(outcome, status="refused", problem=str(error))


def _written(target: Found, data: bytes, result: Annotated, task: Task, current: Path) -> str:
    if task.in_place and result.status == "annotated":
        replace_file(Path(target.path), result.data, read=data, root=Path(target.root))
        return target.shown
    if task.output_dir is not None:
        place = _place(target, current)
        create_file(Path(target.path), result.data, task.output_dir, place)
        return (task.output_dir / place).as_posix()
    return ""


def _place(target: Found, current: Path) -> Path:
    """Return the path of a file in the output folder.

    As it lies below the current folder, else below the folder given, under that folder's name.
    """
    path, root = Path(target.path), Path(target.root)
    if path.is_relative_to(current):
        return path.relative_to(current)
    return Path(root.name) / path.relative_to(root)
