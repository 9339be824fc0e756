"""``recipe-tools reading --from-recipes``: a mash pH that stands in recipes, offered for keeping.

BeerJSON has ``start_ph`` and ``end_ph`` of a mash step; whether a number there is what was aimed at
or what was read nobody can tell from the file, so it is kept only where somebody says it was meant
so. BeerXML has no place: MASH.PH is by its standard the pH of the sparge.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from recipe_tools.cli.output import CLEAN, INCOMPLETE, say
from recipe_tools.cli.recipe_file import Given, RecipeFile
from recipe_tools.reports.escaping import json_visible
from recipe_tools.reports.terminal import visible
from recipe_tools.results import SCHEMA_VERSION

if TYPE_CHECKING:
    from recipe_tools.archive.run_request import FileSettings
    from recipe_tools.readings import KeptReading
    from recipe_tools.recipe import Recipe

_UNCLEAR = (
    "Nobody can tell from the file whether such a number was aimed at or read. Those that were "
    "read are kept with --meant."
)


class Stated(NamedTuple):
    """A mash pH of a recipe. day: of the brew, None where neither file nor command line says."""

    path: str
    recipe: str
    pointer: str
    ph: float
    day: str | None


def collect(
    paths: Sequence[Path],
    given: Given,
    *,
    meant: bool,
    day: date | None,
) -> int:
    """List what recipes state; with meant, keep it. Raises click.UsageError without paths."""
    if not paths:
        raise click.UsageError("Name the recipes, or their folder: --from-recipes PATH...")
    found: list[Stated] = []
    complete = True
    for file in _files(paths):
        in_force = given.settings_for(file)
        if meant and in_force.folder is None:
            raise click.UsageError("--meant needs a recipe-tools.toml, beside which it keeps them.")
        source = RecipeFile.read(file, in_force.options)
        if source is None:
            complete = False
            continue
        for recipe in source.result.recipes:
            stated = list(_stated(source.shown, recipe, day))
            found += stated
            if meant:
                for item in stated:
                    complete &= _keep(item, recipe, in_force)
    complete &= given.deliver(lambda name, _: _said(found, name, meant=meant), "list")
    return CLEAN if complete else INCOMPLETE


def _files(paths: Sequence[Path]) -> Iterator[Path]:
    from recipe_tools.archive.walk import discover

    folders = [path for path in paths if path.is_dir()]
    yield from (path for path in paths if not path.is_dir())
    if folders:
        for found in discover([str(path) for path in folders], Path.cwd()).files:
            yield Path(found.path)


def _stated(shown: str, recipe: Recipe, day: date | None) -> Iterator[Stated]:
    from recipe_tools.readings.file import HIGHEST_PH, LOWEST_PH

    dated = day.isoformat() if day is not None else _day_of(recipe)
    for step in recipe.mash.steps if recipe.mash is not None else ():
        if "sparge" in step.kind or step.kind.startswith("sour"):
            continue
        for field in ("start_ph", "end_ph"):
            ph: float | None = getattr(step, field)
            if ph is not None and LOWEST_PH <= ph <= HIGHEST_PH:
                yield Stated(shown, recipe.name, step.origin.at(field), ph, dated)


def _day_of(recipe: Recipe) -> str | None:
    try:
        return date.fromisoformat(recipe.date.strip()[:10]).isoformat()
    except ValueError:
        return None


def _keep(item: Stated, recipe: Recipe, in_force: FileSettings) -> bool:
    from recipe_tools.cli.reading import keep_entry
    from recipe_tools.measuring import Reading, measure
    from recipe_tools.readings import KeptReading

    if item.day is None:
        say(f"{item.path}: {recipe.name}: no day stands in the recipe; give one with --date.")
        return False
    measured = measure(recipe, replace(in_force.options, readings=None), Reading(item.ph))
    if measured is None:
        say(f"{item.path}: {recipe.name}: its mash pH cannot be predicted; `check` says why.")
        return False
    entry: KeptReading = KeptReading(
        in_force.path, recipe.name, item.day, item.ph, measured.expected
    )
    return keep_entry(entry, in_force)


def _said(found: Sequence[Stated], format_name: str, *, meant: bool) -> str:
    if format_name == "json":
        document: dict[str, Any] = {
            "schema_version": SCHEMA_VERSION,
            "found": [
                {
                    "path": item.path,
                    "recipe": item.recipe,
                    "pointer": item.pointer,
                    "ph": item.ph,
                    "date": item.day,
                }
                for item in found
            ],
        }
        text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
        return "".join(f"{json_visible(line)}\n" for line in text.split("\n"))
    if not found:
        return "No recipe states a mash pH. (BeerXML has no place for one.)\n"
    lines = [
        f"{visible(item.path)}: {visible(item.recipe)}: pH {item.ph:.2f}"
        f"{f' on {item.day}' if item.day else ''} at {visible(item.pointer)}"
        for item in found
    ]
    return "\n".join([*lines, *(() if meant else (_UNCLEAR,))]) + "\n"
