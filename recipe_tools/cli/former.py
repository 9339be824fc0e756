"""The former state of changed recipes, for the comment on a change: read from Git, unpacked aside.

The work tree is left alone. Into a folder for temporary files go only the recipes themselves, the
configurations above them and the water reports those name.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

import click

from recipe_tools.archive.recipe_comparison import RecipeComparison, Side, compare_files
from recipe_tools.archive.revisions import Former, RevisionError, place
from recipe_tools.checking import check_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.cli.settings import Settings, reports_named, water_report
from recipe_tools.config import CONFIG_NAME, SHARED_NAME, find_config
from recipe_tools.readings.file import READINGS_NAME
from recipe_tools.reports.terminal import visible

if TYPE_CHECKING:
    from recipe_tools.cli.settings import Overrides
    from recipe_tools.cli.shared import RunOptions
    from recipe_tools.results import CheckedFile, Run

_AT_ONCE = 200
"""Files whose former contents are held at a time."""


def comparisons(run: Run, given: RunOptions, over: Overrides) -> tuple[RecipeComparison, ...]:
    """Return before and after of the changed recipes of a run. Raises click.UsageError.

    A file that was not checked has none. Recipes in which nothing has changed are left out.
    """
    current = Path.cwd()
    files = [file for file in run.files if file.status == "checked"]
    try:
        former = Former(current, given.changed_since or "")
        with tempfile.TemporaryDirectory(prefix="recipe-tools-") as folder:
            aside = Path(folder).resolve()
            found = tuple(_compared(files, given, over, former, aside))
    except RevisionError as error:
        raise click.UsageError(visible(str(error))) from None
    return tuple(item for item in found if not item.same)


def _compared(
    files: Sequence[CheckedFile],
    given: RunOptions,
    over: Overrides,
    former: Former,
    aside: Path,
) -> Iterator[RecipeComparison]:
    current = Path.cwd()
    now = Settings(over, current)
    names = {file.path: former.name(current / file.path) for file in files}
    before = Settings(_with_former_water(over, given, former, aside), aside)
    # The root of the repository, where a search for a configuration ends.
    (aside / ".git").mkdir()
    for start in range(0, len(files), _AT_ONCE):
        part = files[start : start + _AT_ONCE]
        _unpack(former, [name for file in part if (name := names[file.path])], aside)
        for file in part:
            present, name = now(current / file.path), names[file.path]
            side = Side(file, present.options.for_path(present.path))
            try:
                earlier = _former_side(file, name, before, aside) if name else None
            except click.UsageError:
                continue  # what was in force then cannot be used, so that there is no before
            yield from compare_files(file.path, earlier, side)
            if name:
                (aside / name).unlink(missing_ok=True)


def _with_former_water(
    over: Overrides, given: RunOptions, former: Former, aside: Path
) -> Overrides:
    """Put the former state of a water report in place of the one given, where there is one."""
    name = former.name(Path.cwd() / given.water) if given.water is not None else None
    if name is None:
        return over
    _write(former.contents([name]), aside)
    try:
        return over._replace(water=water_report(str(aside / name)))
    except click.UsageError:
        return over


def _former_side(file: CheckedFile, name: str, settings: Settings, aside: Path) -> Side | None:
    path = aside / name
    if not path.is_file():
        return None
    in_force = settings(path)
    options = in_force.options.for_path(in_force.path)
    request = FileRequest(config_path=in_force.path)
    return Side(check_bytes(path.read_bytes(), file.path, options, request), options)


def _unpack(former: Former, recipes: Sequence[str], aside: Path) -> None:
    """Unpack recipes with the configurations above them and the reports those name."""
    folders = {folder for name in recipes for folder in PurePosixPath(name).parents}
    configs = [
        str(folder / name)
        for folder in sorted(folders)
        for name in (CONFIG_NAME, SHARED_NAME, READINGS_NAME)
    ]
    _write(former.contents([*recipes, *configs]), aside)
    used = {find_config((aside / name).parent) for name in recipes}
    reports = [report for config in used if config is not None for report in reports_named(config)]
    names = []
    for report in reports:
        with suppress(ValueError):  # one that lies outside is refused where it is read
            names.append(Path(os.path.normpath(report)).relative_to(aside).as_posix())
    _write(former.contents(sorted(set(names))), aside)


def _write(contents: Mapping[str, bytes], aside: Path) -> None:
    for name, data in contents.items():
        path = aside / name
        if place(path).startswith(place(aside)):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
