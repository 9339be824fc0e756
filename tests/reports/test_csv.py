"""The table, read back by a CSV parser (RFC 4180)."""

from __future__ import annotations

import csv
import io

from recipe_tools.findings import Severity
from recipe_tools.reports import csv_report
from recipe_tools.reports.escaping import csv_cell, printable
from recipe_tools.results import Run
from tests.reports.cleanliness import assert_clean
from tests.reports.sample_run import CATALOGUE, HOSTILE_TEXTS, hostile_run, plain_run

FORMULA_STARTS = "=+-@\t\r"
"""What makes a spreadsheet take a cell for a formula (OWASP, CSV Injection)."""


def rows_of(run: Run) -> list[dict[str, str]]:
    """Return the rows as the parser of the standard library reads them."""
    text = csv_report.render(run, CATALOGUE)
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_one_row_per_recipe_and_one_for_what_belongs_to_no_recipe() -> None:
    rows = rows_of(plain_run())
    assert [(row["path"], row["status"], row["recipe"]) for row in rows] == [
        ("ales/harvest.xml", "checked", ""),
        ("ales/harvest.xml", "checked", "Harvest bitter"),
        ("ales/harvest.xml", "checked", "Mill stout"),
        ("lagers/torn page 50%.json", "not_checked", ""),
        ("", "", ""),
    ]


def test_counts_of_all_rows_add_up_to_those_of_the_run() -> None:
    run = plain_run()
    rows = rows_of(run)
    counts = run.counts()
    for column, level in (
        ("errors", Severity.ERROR),
        ("warnings", Severity.WARNING),
        ("notes", Severity.NOTE),
    ):
        assert sum(int(row[column]) for row in rows) == counts[level]
    assert sum(int(row["accepted"]) for row in rows) == run.suppressed


def test_numbers_are_numbers_and_unknown_is_empty() -> None:
    row = rows_of(plain_run())[1]
    assert float(row["mash_calcium_mg_l"]) == 118.0
    assert float(row["total_sulfate_mg_l"]) == 141.0
    assert float(row["mash_residual_alkalinity_meq_l"]) == -0.2
    assert (float(row["mash_ph"]), float(row["mash_ph_low"]), float(row["mash_ph_high"])) == (
        5.71,
        5.52,
        5.93,
    )
    assert (row["source_known"], row["style_family"]) == ("yes", "bitters_and_ipas")
    # 141 mg/L of sulfate to 42 mg/L of chloride
    assert float(row["sulfate_to_chloride"]) == 3.36
    stout = rows_of(plain_run())[2]
    assert stout["mash_ph"] == ""


def test_no_cell_from_a_file_is_a_formula() -> None:
    text = csv_report.render(hostile_run(), CATALOGUE)
    assert_clean(text, allowed="\r\n")
    rows = rows_of(hostile_run())
    assert len(rows) == len(HOSTILE_TEXTS)
    for row in rows:
        for column in ("path", "recipe", "style"):
            assert row[column].lstrip()[:1] not in tuple(FORMULA_STARTS)


def test_a_neutralised_cell_keeps_its_text() -> None:
    for row, text in zip(rows_of(hostile_run()), HOSTILE_TEXTS, strict=True):
        assert row["recipe"].removeprefix("'") == printable(text).removeprefix("'")


def test_every_line_end_outside_a_cell_is_cr_lf_and_a_bare_cr_never_ends_a_row() -> None:
    text = csv_report.render(hostile_run(), CATALOGUE)
    assert text.endswith("\r\n")
    assert text.count("\r") == text.count("\n") == len(HOSTILE_TEXTS) + 1


def test_full_width_and_indented_formulas_are_neutralised_too() -> None:
    for text in ("＝1+1", " =1", "\u00a0+1", "\r-1"):
        assert csv_cell(text).startswith("'")
    for text in ("", "Bitter", "1 = 1", "'quoted'"):
        assert csv_cell(text) == text
