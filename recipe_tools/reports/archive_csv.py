"""The audit of an archive as CSV (RFC 4180): one row for each recipe.

A row without a recipe stands for a file that could not be checked, holds no recipe, or has findings
of its own; a row without a path for findings of the whole run. The counts of all rows add up to
those of the run.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence

from recipe_tools.archive.records import LEVELS, RecipeRecord
from recipe_tools.archive.report import Archive
from recipe_tools.archive.totals import FileLine
from recipe_tools.recipe import IONS
from recipe_tools.reports.escaping import csv_cell

Cell = str | int | float | None

COLUMNS = (
    "path",
    "status",
    "recipe_index",
    "recipe",
    "brewer",
    "year",
    "style",
    "style_family",
    "mash_ph",
    "mash_ph_low",
    "mash_ph_high",
    *(f"{ion}_mg_l" for ion in IONS),
    *(f"{ion}_against_family" for ion in IONS),
    "residual_alkalinity_meq_l",
    "sulfate_to_chloride",
    "errors",
    "warnings",
    "notes",
)


def render(archive: Archive) -> Iterator[str]:
    """Yield the table row by row. Rows end with CR LF, so a bare CR is quoted too."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for file in archive.totals.files():
        for cells in _rows(file):
            writer.writerow([csv_cell(cell) if isinstance(cell, str) else cell for cell in cells])
        if text.tell() > 1 << 16:
            yield text.getvalue()
            text.seek(0)
            text.truncate()
    if archive.findings:
        counts = [sum(item.severity is level for item in archive.findings) for level in LEVELS]
        writer.writerow(_row("", "", None, counts))
    yield text.getvalue()


def _rows(file: FileLine) -> Iterator[Sequence[Cell]]:
    if not file.recipes or file.status != "checked" or any(file.own_counts):
        yield _row(file.path, file.status, None, file.own_counts)
    for recipe in file.recipes:
        counts = (recipe.errors, recipe.warnings, recipe.notes)
        yield _row(file.path, file.status, recipe, counts)


def _row(
    path: str, status: str, recipe: RecipeRecord | None, counts: Sequence[int]
) -> Sequence[Cell]:
    if recipe is None:
        return [path, status, *[None] * (len(COLUMNS) - 2 - len(counts)), *counts]
    return [
        path,
        status,
        recipe.place,
        recipe.name,
        recipe.brewer,
        recipe.year,
        recipe.style,
        recipe.family,
        recipe.ph,
        recipe.ph_low,
        recipe.ph_high,
        *(level.mg_l for level in recipe.ions),
        *(level.against for level in recipe.ions),
        recipe.residual_alkalinity,
        recipe.sulfate_to_chloride,
        *counts,
    ]
