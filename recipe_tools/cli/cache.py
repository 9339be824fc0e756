"""``recipe-tools cache``: what earlier audits left behind."""

from __future__ import annotations

import click

from recipe_tools.cli.manual import ManualGroup
from recipe_tools.cli.output import CLEAN, INCOMPLETE, say


@click.group("cache", cls=ManualGroup)
def command() -> None:
    """Clear the results kept from earlier runs.

    `audit` keeps its results in the user's cache folder, or in the folder named
    by RECIPE_TOOLS_CACHE_DIR, so that the next run checks only what has changed.
    """


@command.command("clear")
def clear() -> int:
    """Remove all results kept from earlier runs."""
    from recipe_tools.archive.cache import FILE_NAME, CacheUnusable, cache_folder, remove_files

    try:
        folder = cache_folder()
    except CacheUnusable as reason:
        say(f"There is no cache: {reason}.")
        return CLEAN
    freed = remove_files(folder / FILE_NAME)
    if (folder / FILE_NAME).exists():
        say(f"The cache in {folder} could not be removed.")
        return INCOMPLETE
    say(f"{freed / 1e6:.1f} MB removed." if freed else "The cache was empty.")
    return CLEAN
