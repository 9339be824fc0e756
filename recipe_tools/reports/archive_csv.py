"""The audit of an archive as CSV (RFC 4180): one row for each recipe.

A row without a recipe stands for a file that could not be checked, holds no recipe, or has findings
of its own; a row without a path for findings of the whole run. The counts of all rows add up to
those of the run.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from recipe_tools.archive.marks import AGAINST, LEVELS
from recipe_tools.archive.report import Archive
from recipe_tools.recipe import IONS
from recipe_tools.reports.escaping import csv_cell

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
    for row in archive.totals.table():
        *head, against, residual, ratio, errors, warnings, notes = row
        letters = against or "-" * len(IONS)
        cells = [
            *head,
            *(AGAINST.get(letter, "") for letter in letters),
            residual,
            ratio,
            errors,
            warnings,
            notes,
        ]
        writer.writerow([csv_cell(cell) if isinstance(cell, str) else cell for cell in cells])
        if text.tell() > 1 << 16:
            yield text.getvalue()
            text.seek(0)
            text.truncate()
    if archive.findings:
        counts = [sum(item.severity is level for item in archive.findings) for level in LEVELS]
        writer.writerow(["", *[""] * (len(COLUMNS) - 4), *counts])
    yield text.getvalue()
