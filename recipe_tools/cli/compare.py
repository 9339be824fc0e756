"""``recipe-tools compare``: two versions of a recipe, or one under two waters."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.archive.discovery import shown
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import CLEAN, FOUND, INCOMPLETE, say
from recipe_tools.cli.recipe_file import Given, one_file_options
from recipe_tools.reports.terminal import Ink

if TYPE_CHECKING:
    from recipe_tools.archive.recipe_comparison import RecipeComparison, Side


@click.command("compare", cls=Manual)
@click.argument("old", metavar="OLD", type=click.Path(path_type=Path))
@click.argument("new", metavar="NEW", type=click.Path(path_type=Path))
@click.option(
    "--water-old", type=click.Path(dir_okay=False), metavar="FILE", help="Water report of OLD."
)
@click.option(
    "--water-new", type=click.Path(dir_okay=False), metavar="FILE", help="Water report of NEW."
)
@one_file_options("markdown=changes.md", "Answer on standard output.")
def command(
    old: Path, new: Path, water_old: str | None, water_new: str | None, given: Given
) -> int:
    """Say what has changed between two versions of a recipe.

    Water, ions, mash pH with its band, malts and doses, and findings. Give the same file twice
    with two waters to see what another water does. Exit code 1 where a recipe is newly out of its
    window or past a limit, or worse than before.
    """
    from recipe_tools.archive.recipe_comparison import compare_files

    waters = (water_old or given.water, water_new or given.water)
    sides = [
        _side(file, given._replace(water=water))
        for file, water in zip((old, new), waters, strict=True)
    ]
    before, after = sides
    if before is None or after is None:
        return INCOMPLETE
    items = compare_files(after.file.path, before, after)
    paths = (before.file.path, after.file.path)
    if not given.deliver(lambda name, ink: _rendered(name, items, paths, ink), "comparison"):
        return INCOMPLETE
    worse = any(item.change.kind in ("newly out", "worse") for item in items)
    return FOUND if worse else CLEAN


def _side(file: Path, given: Given) -> Side | None:
    """Return a file with its check; None where no recipe can be had from it, which is said."""
    from recipe_tools.archive.recipe_comparison import Side
    from recipe_tools.checking import check_bytes
    from recipe_tools.checking.file_bytes import bytes_of
    from recipe_tools.checking.judging import FileRequest
    from recipe_tools.findings import Finding

    current = Path.cwd()
    in_force = given.settings_for(file)
    name = shown(os.path.normpath(current / file), current, absolute=file.is_absolute())
    data = bytes_of(file, in_force.options.limits.max_bytes, file.parent)
    if isinstance(data, Finding):
        say(f"{name}: {data.message}")
        return None
    request = FileRequest(config_path=in_force.path)
    checked = check_bytes(data, name, in_force.options, request)
    if checked.incomplete or not checked.recipes:
        say(f"{name}: no recipe could be read; `recipe-tools check` says why.")
        return None
    return Side(checked, in_force.options)


def _rendered(
    name: str, items: tuple[RecipeComparison, ...], paths: tuple[str, str], ink: Ink
) -> str:
    if name == "json":
        from recipe_tools.reports import compare_json

        return compare_json.render(items, paths)
    if name == "markdown":
        from recipe_tools.reports import compare_markdown

        return compare_markdown.render(items, paths)
    if name == "html":
        from recipe_tools.reports import compare_html

        return compare_html.render(items, paths)
    from recipe_tools.reports import compare_text

    return compare_text.render(items, paths, ink)
