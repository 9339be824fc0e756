"""``recipe-tools convert``: a file in the other standard, and what has no place there."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.archive.discovery import shown
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import CLEAN, FOUND, INCOMPLETE, say, write_out
from recipe_tools.config import Options
from recipe_tools.limits import DEFAULT_LIMITS

if TYPE_CHECKING:
    from recipe_tools.converting import Converted
    from recipe_tools.recipe import FormatName

STANDARDS = ("beerjson", "beerxml")


def _settings(
    ctx: click.Context, param: click.Parameter, values: tuple[str, ...]
) -> tuple[tuple[str, str], ...]:
    del ctx
    found = []
    for value in values:
        name, equals, text = value.partition("=")
        if not name or not equals:
            raise click.BadParameter("write it as MEMBER=VALUE, such as BREWER=Ann", param=param)
        found.append((name.strip(), text))
    return tuple(found)


@click.command("convert", cls=Manual)
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--to", type=click.Choice(STANDARDS), required=True, help="The standard to write it in."
)
@click.option(
    "--output-file",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="OUT",
    help="Write the document to this file; else to standard output.",
)
@click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="MEMBER=VALUE",
    callback=_settings,
    help="State what the file lacks, as the list names it; may be repeated.",
)
@click.option("--strict", is_flag=True, help="Write nothing unless all of the file is kept.")
@click.option(
    "--format",
    "format_name",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="The list of what is lost, changed and missing.",
)
def command(
    file: Path,
    to: FormatName,
    output_file: Path | None,
    settings: tuple[tuple[str, str], ...],
    strict: bool,
    format_name: str,
) -> int:
    """Write a file in the other standard, with a list of all that has no place there.

    Nothing is invented: what the other standard requires and the file does not
    say is listed as missing, and --set states it. Exit code 0 where the result
    is valid and says all that the file says, 1 where something is lost, changed
    in meaning or missing. With --format json the list goes to standard output,
    and the document to --output-file alone.
    """
    from recipe_tools.checking.file_bytes import bytes_of
    from recipe_tools.converting import SettingError, convert_bytes
    from recipe_tools.findings import Finding

    current = Path.cwd()
    if output_file is not None and _same(file, output_file):
        raise click.UsageError("--output-file is the file itself; name another one.")
    name = shown(os.path.normpath(current / file), current, absolute=file.is_absolute())
    data = bytes_of(file, DEFAULT_LIMITS.max_bytes, file.parent)
    if isinstance(data, Finding):
        say(f"{name}: {data.message}")
        return INCOMPLETE
    try:
        result = convert_bytes(data, name, to, Options(), settings)
    except SettingError as error:
        raise click.UsageError(f"--set: {error}.") from None
    if result.problem:
        say(f"{name}: not converted, {result.problem}.")
        return INCOMPLETE
    writes = result.data is not None and (result.whole or not strict)
    if not _delivered(result, file, output_file, name, to, format_name, writes=writes):
        return INCOMPLETE
    return CLEAN if result.whole else FOUND


def _delivered(
    result: Converted,
    file: Path,
    output_file: Path | None,
    name: str,
    to: FormatName,
    format_name: str,
    *,
    writes: bool,
) -> bool:
    """Write document and list where they belong; False where a file could not be written."""
    from recipe_tools.cli.conversion_report import render_json, render_text
    from recipe_tools.editing.writing import NotWrittenError, create_file

    if output_file is not None and writes and result.data is not None:
        try:
            create_file(file, result.data, output_file.parent, Path(output_file.name))
        except NotWrittenError as error:
            say(f"{output_file}: not written, {error}.")
            return False
    if format_name == "json":
        write_out(render_json(result, name, to), machine=True)
        return True
    listed = render_text(result, name, to)
    if output_file is not None or not writes:
        write_out(listed, machine=False)
        return True
    for line in listed.splitlines():
        say(line)
    if result.data is not None:
        write_out(result.data.decode("utf-8"), machine=True)
    return True


def _same(file: Path, other: Path) -> bool:
    try:
        return file.samefile(other)
    except OSError:
        return False
