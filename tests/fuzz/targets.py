"""The functions that are fuzzed: bytes in, an exception where a promise is broken."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping

from recipe_tools.annotate.annotating import Wish, annotate_bytes
from recipe_tools.baseline import BaselineError
from recipe_tools.baseline import read as read_baseline
from recipe_tools.baseline import write as write_baseline
from recipe_tools.checking.checklist import catalogue
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import ConfigError, Options
from recipe_tools.config.load import options_from_table
from recipe_tools.reports import water_json, water_text
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from recipe_tools.toml_in import TomlError, parse_toml
from recipe_tools.water_advice.sheet import water_sheet
from recipe_tools.water_report import ReportError, report_from_table
from recipe_tools.water_report.pasted import read_pasted
from recipe_tools.water_report.writing import as_toml
from tests.hostile.soundness import (
    SMALL,
    assert_clean,
    assert_finite,
    assert_sound,
    strict_json,
)

Target = Callable[[bytes], None]

PLAIN = document(PLAIN_RECIPE)

REPORTS_EVERY = 16
"""One input in so many goes through all reports, the others through JSON alone: it takes longer."""


def recipe_file(data: bytes) -> None:
    """Read, compute, judge and report a recipe file, whichever standard it follows."""
    assert_sound(data, SMALL, reports=_chosen(data))


def configuration(data: bytes) -> None:
    """Read a configuration; where it is one, its options have a digest and apply to any path."""
    try:
        options = options_from_table(parse_toml(data), known_rules=catalogue())
    except (ConfigError, TomlError) as error:
        assert str(error).strip()
        str(error).encode()
        return
    assert isinstance(options, Options)
    assert options.digest() == options.digest()
    assert_sound(PLAIN, options.for_path("ales/mild.json"), reports=False)


def water_report(data: bytes) -> None:
    """Read a water report and, where it is one, give all the advice there is about it."""
    try:
        report = report_from_table(parse_toml(data))
    except (ReportError, TomlError) as error:
        assert str(error).strip()
        str(error).encode()
        return
    sheet = water_sheet(report, volume_l=30.0, to_ph=5.6, to_alkalinity_meq_l=0.5)
    assert_clean(water_text.render(sheet))
    assert_finite(strict_json(water_json.render(sheet)))


def copied_table(data: bytes) -> None:
    """Read a copied table; what it gives reads back from its TOML as the same water."""
    try:
        pasted = read_pasted(data)
    except ReportError as error:
        assert str(error).strip()
        return
    kept = report_from_table(parse_toml(as_toml(pasted.table, "kept")))
    assert kept == pasted.report
    sheet = water_sheet(kept)
    assert_clean(water_text.render(sheet, pasted=pasted))
    assert_finite(strict_json(water_json.render(sheet, pasted)))


def baseline(data: bytes) -> None:
    """Read a list of accepted findings; where it is one, writing it gives the same list."""
    try:
        found = read_baseline(data)
    except BaselineError as error:
        assert str(error).strip()
        return
    assert read_baseline(write_baseline(found).encode()) == found


def _chosen(data: bytes) -> bool:
    return hashlib.sha256(data).digest()[0] % REPORTS_EVERY == 0


def annotator(data: bytes) -> None:
    """Annotate a file: once more changes nothing, and taking the block out gives the file back."""
    for wish in (Wish(), Wish(accept_repairs=True)):
        made = annotate_bytes(data, "a.recipe", SMALL, FileRequest(), wish)
        if made.status != "annotated":
            assert made.data == data
            assert made.status != "refused" or made.problem
            continue
        again = annotate_bytes(made.data, "a.recipe", SMALL, FileRequest(), wish)
        assert again.status == "unchanged", again.problem
        assert again.data == made.data
        if not made.repairs and b"recipe-tools" not in data:
            bare = annotate_bytes(made.data, "a.recipe", SMALL, FileRequest(), Wish(remove=True))
            assert bare.data == data


TARGETS: Mapping[str, Target] = {
    "beerxml": recipe_file,
    "beerjson": recipe_file,
    "annotator": annotator,
    "config": configuration,
    "water": water_report,
    "table": copied_table,
    "baseline": baseline,
}
"""Name -> function. BeerXML and BeerJSON share one function and have seeds and mutations apart."""
