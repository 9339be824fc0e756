"""``recipe-tools tidy``: files written as their standard asks."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import CLEAN, FOUND, INCOMPLETE, say, write_out
from recipe_tools.cli.rewriting import Delivered, Destination, rewritten_files
from recipe_tools.cli.settings import rule_names
from recipe_tools.cli.shared import RunOptions, checking_options
from recipe_tools.reports.ranking import plural
from recipe_tools.reports.terminal import visible
from recipe_tools.results import SCHEMA_VERSION

if TYPE_CHECKING:
    from recipe_tools.checking.judging import FileRequest
    from recipe_tools.config import Options
    from recipe_tools.tidying import Tidied


@click.command("tidy", cls=Manual)
@click.argument("paths", nargs=-1, required=True, type=click.Path(), metavar="PATH...")
@click.option("--in-place", is_flag=True, help="Write into the files themselves.")
@click.option(
    "--output-dir",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Write copies to this folder, under the paths the files have.",
)
@click.option("--diff", is_flag=True, help="Show what changes; without destination the default.")
@click.option("--check", is_flag=True, help="Write nothing; exit 1 where something would change.")
@click.option(
    "--meant",
    is_flag=True,
    help="Also write numbers as they are meant: a thousandfold slip, 0.72 for 72 %.",
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
    meant: bool,
    summary_format: str,
    given: RunOptions,
) -> int:
    """Write files as their standard asks, without touching a brewing value.

    Tags and listed words, decimal commas, numbers in quotes or with their own
    unit behind them, namespaces, missing editions and sets, encodings that are
    not the declared one. Nothing else in a file changes by a byte, and the file
    is read again before it is written: the recipes are the same. Without
    --in-place or --output-dir the changes are shown and nothing is written.
    """
    from recipe_tools.tidying import Choice, tidy_bytes

    choice = Choice(rule_names(given.only), rule_names(given.without), meant)

    def tidy(data: bytes, path: str, options: Options, request: FileRequest) -> Tidied:
        return tidy_bytes(data, path, options, choice, named=request.named)

    to = Destination.given(in_place, output_dir, diff, check)
    outcomes = rewritten_files(paths, to, given, tidy, "tidied")
    _tell(outcomes, to, as_json=summary_format == "json")
    if any(item.status == "refused" for item in outcomes):
        return INCOMPLETE
    return FOUND if check and any(item.status == "tidied" for item in outcomes) else CLEAN


def _tell(outcomes: Sequence[Delivered[Tidied]], to: Destination, *, as_json: bool) -> None:
    """Write the diffs or one line a file, and to standard error what was not written."""
    for item in outcomes:
        if item.status == "refused":
            place = "" if item.line is None else f":{item.line}"
            say(f"{item.path}{place}: not written, {item.problem}")
    counts = Counter(item.status for item in outcomes)
    if as_json:
        document = json.dumps(_document(outcomes, to, counts), indent=2)
        write_out(f"{document}\n", machine=True)
        return
    word = "tidied" if to.writes else "to be tidied"
    shown = "".join(item.diff for item in outcomes)
    if not to.diff:
        shown = "".join(_line(item, word) for item in outcomes)
    write_out(shown, machine=False)
    parts = [f"{counts['tidied']} {word}", f"{counts['unchanged']} as they should be"]
    if counts["refused"]:
        parts.append(f"{counts['refused']} not written")
    if counts["skipped"]:
        parts.append(f"{counts['skipped']} skipped, no recipe")
    say(f"{plural(len(outcomes), 'file')}: {', '.join(parts)}")


def _document(
    outcomes: Sequence[Delivered[Tidied]], to: Destination, counts: Mapping[str, int]
) -> dict[str, object]:
    files: list[dict[str, object]] = []
    for item in outcomes:
        entry = {"path": item.path, "status": item.status, "problem": item.problem or None}
        shown = {"line": item.line, "output": item.output or None}
        files.append({**entry, **shown, **({"diff": item.diff} if to.diff else {})})
    statuses = ("tidied", "unchanged", "refused", "skipped")
    return {
        "schema_version": SCHEMA_VERSION,
        "summary": {"files": len(outcomes), **{name: counts[name] for name in statuses}},
        "written": to.writes,
        "files": files,
    }


def _line(item: Delivered[Tidied], word: str) -> str:
    if item.status in ("refused", "skipped"):
        return ""
    to = f" -> {visible(item.output)}" if item.output not in ("", item.path) else ""
    return f"{visible(item.path)}: {word if item.status == 'tidied' else 'unchanged'}{to}\n"
