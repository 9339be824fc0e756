"""One recipe file named on the command line: what holds for it, and its recipes."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.archive.discovery import shown
from recipe_tools.cli.output import say
from recipe_tools.cli.settings import Overrides, Settings, water_report
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.reports.ranking import plural

if TYPE_CHECKING:
    from recipe_tools.archive.run_request import Settled
    from recipe_tools.config import Options
    from recipe_tools.formats.result import ReadResult
    from recipe_tools.recipe import FormatName, Recipe


def options_for(
    file: Path,
    water: str | None,
    config: str | None,
    no_config: bool,
    no_readings: bool = False,
) -> Settled:
    """Return what holds for a file, by the options of the command line. Raises click.UsageError."""
    if config is not None and no_config:
        raise click.UsageError("--config and --no-config exclude each other.")
    current = Path.cwd()
    overrides = Overrides(
        config=None if config is None else Path(config),
        no_config=no_config,
        no_readings=no_readings,
        remembers=True,
        water=water_report(water),
        only=(),
        without=(),
        limits=DEFAULT_LIMITS,
        today=date.today(),
    )
    settled = Settings(overrides, current)(current / file)
    return settled._replace(options=settled.options.for_path(settled.path))


@dataclass(frozen=True, slots=True)
class RecipeFile:
    """A recipe file that was read."""

    path: Path
    shown: str
    data: bytes
    format: FormatName
    result: ReadResult

    @classmethod
    def read(cls, file: Path, options: Options) -> RecipeFile | None:
        """Read a file; None where no recipe can be had from it, which has been said."""
        from recipe_tools.checking.file_bytes import bytes_of
        from recipe_tools.findings import Finding
        from recipe_tools.formats import read
        from recipe_tools.recipe import SourceFile

        current = Path.cwd()
        name = shown(os.path.normpath(current / file), current, absolute=file.is_absolute())
        data = bytes_of(file, options.limits.max_bytes, file.parent)
        if isinstance(data, Finding):
            say(f"{name}: {data.message}")
            return None
        result = read(SourceFile(name, data), options.limits)
        if result.status != "checked":
            for item in result.findings:
                if item.rule.startswith("file/"):
                    say(f"{name}: {item.message}")
        if result.format is None or not result.recipes:
            say(f"{name}: no recipe could be read; `recipe-tools check` says why.")
            return None
        return cls(file, name, data, result.format, result)


def chosen(recipes: Sequence[Recipe], wanted: str | None) -> Sequence[Recipe]:
    """Return the recipes of a file that were asked for, by place from 1 or by name.

    Raises click.UsageError where none is meant.
    """
    if wanted is None:
        return recipes
    if wanted.isdigit() and 1 <= int(wanted) <= len(recipes):
        return [recipes[int(wanted) - 1]]
    named = [item for item in recipes if item.name.strip().casefold() == wanted.strip().casefold()]
    if not named:
        count = plural(len(recipes), "recipe")
        raise click.UsageError(f"The file has {count}; none has the number or name {wanted!r}.")
    return named
