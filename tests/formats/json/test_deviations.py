"""Each way in which a file leaves BeerJSON: which rule says so, where, and what was read.

Expected lines are looked up in the text of the file, not in what the reader says.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from recipe_tools.findings import Severity
from recipe_tools.formats.decoding import decode_json
from recipe_tools.formats.deviations import DEVIATIONS
from recipe_tools.formats.positions import locate
from tests.formats.json.samples import (
    FOLDER,
    MALTS,
    RECIPE,
    SALTS,
    STEPS,
    WATER,
    data_of,
    of_rule,
    read,
)

NOTE, WARNING, ERROR = Severity.NOTE, Severity.WARNING, Severity.ERROR
DECLARED = None


@dataclass(frozen=True)
class Case:
    """A finding to expect: in which file, at which value; needle: text of the file in that line."""

    file: str
    rule: str
    pointer: str
    needle: str
    severity: Severity | None = DECLARED
    count: int = 1
    words: str = ""


REQUIRED, TYPE, LISTED = (
    "standard/required-missing",
    "standard/wrong-type",
    "standard/value-not-listed",
)
HOPS = f"{RECIPE}/ingredients/hop_additions"

CASES = [
    Case("missing-members.json", REQUIRED, f"{RECIPE}/author", '{\n        "name": "Weir', NOTE),
    Case(
        "missing-members.json", REQUIRED, f"{RECIPE}/efficiency", '{\n        "name": "Weir', NOTE
    ),
    Case("missing-members.json", REQUIRED, f"{RECIPE}/style/category", '"style": {', NOTE),
    Case(
        "missing-members.json",
        REQUIRED,
        f"{MALTS}/0/yield",
        '{\n              "name": "Aldermoor pale malt"',
        NOTE,
        count=2,
        words="One more place has the same fault.",
    ),
    Case(
        "missing-members.json",
        REQUIRED,
        f"{MALTS}/0/color",
        '{\n              "name": "Aldermoor pale malt"',
        WARNING,
    ),
    Case("missing-members.json", REQUIRED, f"{RECIPE}/mash/name", '"mash": {', NOTE),
    Case("missing-members.json", REQUIRED, f"{RECIPE}/mash/grain_temperature", '"mash": {', NOTE),
    Case(
        "missing-members.json",
        REQUIRED,
        f"{STEPS}/0/name",
        '{\n              "type": "inf',
        NOTE,
        2,
    ),
    Case(
        "missing-amount.json",
        REQUIRED,
        f"{SALTS}/0/amount",
        '{\n              "name": "Gyp',
        WARNING,
    ),
    Case(
        "missing-amount.json",
        REQUIRED,
        f"{WATER}/bicarbonate",
        '{\n              "name": "Aldermoor mains',
        WARNING,
    ),
    Case(
        "unknown-members.json",
        REQUIRED,
        f"{WATER}/sulfate",
        '{\n              "name": "Aldermoor mains',
        WARNING,
    ),
    Case("unknown-members.json", "standard/schema", f"{RECIPE}/equipment", '"equipment": "C', NOTE),
    Case(
        "unknown-members.json",
        "standard/misspelt-tag",
        f"{WATER}/sulphate",
        '"sulphate"',
        WARNING,
        words="sulfate may be meant",
    ),
    Case(
        "unknown-members.json",
        "standard/unlisted-member",
        f"{HOPS}/0/lot",
        '"lot": 4',
        NOTE,
        words="lot (2), use_for, notes. They were not read, except notes, use_for.",
    ),
    Case(
        "unlisted-units.json",
        LISTED,
        f"{RECIPE}/batch_size/unit",
        '"Gal"',
        NOTE,
        words="read as gal",
    ),
    Case("unlisted-units.json", LISTED, f"{STEPS}/0/amount/unit", '"L"', NOTE, words="read as l"),
    Case("unlisted-units.json", LISTED, f"{STEPS}/1/amount/unit", '"liters"', NOTE),
    Case("unlisted-units.json", LISTED, f"{SALTS}/0/amount/unit", '"grams"', NOTE),
    Case("unlisted-units.json", LISTED, f"{HOPS}/0/timing/duration/unit", '"days"', NOTE),
    Case("unlisted-units.json", LISTED, f"{RECIPE}/boil/boil_time/unit", '"hours"', NOTE),
    Case(
        "unlisted-units.json", LISTED, f"{MALTS}/0/amount/unit", '"sacks"', ERROR, words="left out"
    ),
    Case("off-list-words.json", LISTED, f"{RECIPE}/type", '"All Grain"', NOTE, words="all grain"),
    Case("off-list-words.json", LISTED, f"{SALTS}/1/timing/use", "add_to_sparge", NOTE),
    Case("off-list-words.json", LISTED, f"{STEPS}/0/type", '"Infusion"', NOTE),
    Case("off-list-words.json", LISTED, f"{STEPS}/1/type", '"type": "rinse"', NOTE),
    Case(
        "empty-strings.json",
        "standard/schema",
        f"{RECIPE}/style/style_letter",
        '"style_letter"',
        NOTE,
    ),
    Case("empty-strings.json", "standard/schema", f"{RECIPE}/created", '"created"', NOTE),
    Case(
        "empty-strings.json",
        "standard/empty-number",
        f"{STEPS}/1/amount/value",
        '"value": ""',
        NOTE,
    ),
    Case(
        "odd-date.json",
        "standard/schema",
        f"{RECIPE}/created",
        "17 May 2024",
        NOTE,
        words="2024-05-17",
    ),
    Case("null-ions.json", TYPE, f"{WATER}/magnesium", '"magnesium": null', NOTE),
    Case("null-ions.json", TYPE, f"{WATER}/sodium/value", '"value": null', NOTE),
    Case("negative-ion.json", "standard/impossible-value", f"{WATER}/sodium", "-14"),
    Case("negative-ion.json", "standard/impossible-value", f"{SALTS}/0/amount", "-4}"),
    Case(
        "impossible-values.json",
        "standard/impossible-value",
        "/beerjson/fermentables/0/di_ph",
        "57.4",
        WARNING,
    ),
    Case(
        "impossible-values.json", "standard/impossible-value", f"{STEPS}/0/step_temperature", "166"
    ),
    Case(
        "impossible-values.json",
        "standard/impossible-value",
        f"{RECIPE}/efficiency/brewhouse",
        "720",
        NOTE,
    ),
    Case("gravity-points.json", "standard/gravity-not-sg", f"{RECIPE}/original_gravity", "1042"),
    Case("gravity-points.json", "standard/gravity-not-sg", f"{MALTS}/1/yield/potential", "1034"),
    Case(
        "gravity-points.json",
        "standard/gravity-not-sg",
        f"{RECIPE}/final_gravity",
        "2.6",
        words="Plato",
    ),
    Case("numbers-as-text.json", TYPE, f"{RECIPE}/batch_size/value", '"21.5"', NOTE),
    Case("numbers-as-text.json", "standard/decimal-comma", f"{MALTS}/0/amount/value", '"3,8"'),
    Case(
        "numbers-as-text.json",
        "standard/number-with-unit",
        f"{RECIPE}/efficiency/brewhouse/value",
        "72 %",
        NOTE,
    ),
    Case(
        "numbers-as-text.json", "standard/number-with-unit", f"{STEPS}/0/amount", '"11.5 L"', NOTE
    ),
    Case("numbers-as-text.json", TYPE, f"{SALTS}/0/amount/value", "a pinch", words="left out"),
    Case("bare-numbers.json", TYPE, f"{RECIPE}/batch_size", '"batch_size": 21', words="left out"),
    Case("bare-numbers.json", TYPE, f"{RECIPE}/efficiency", '"efficiency": 72', NOTE, words="in %"),
    Case("bare-numbers.json", TYPE, f"{RECIPE}/original_gravity", "1.042", NOTE, words="in sg"),
    Case("bare-numbers.json", TYPE, f"{WATER}/calcium", '"calcium": 61', NOTE, words="in mg/l"),
    Case("bare-numbers.json", REQUIRED, f"{STEPS}/0/amount/unit", '{"value": 11.5}', WARNING),
    Case(
        "not-finite.json",
        "standard/not-finite",
        f"{RECIPE}/efficiency/brewhouse/value",
        '"unit": "%", "value": NaN',
        NOTE,
    ),
    Case(
        "not-finite.json",
        "standard/not-finite",
        f"{STEPS}/1/amount/value",
        '"amount": {"unit": "l", "value": 1e999',
        WARNING,
    ),
    Case("not-finite.json", "standard/not-finite", f"{SALTS}/0/amount/value", '"value": -Infinity'),
    Case("not-finite.json", "standard/not-finite", "/beerjson/version", '"version"', NOTE),
    Case(
        "duplicate-members.json",
        "file/duplicate-member",
        f"{RECIPE}/batch_size",
        '"value": 21}',
        words="the last one",
    ),
    Case("surrogates.json", "file/encoding-repaired", f"{SALTS}/0/name", "ud83c crystals"),
    Case("unknown-version.json", "file/unknown-version", "/beerjson/version", '"version"', NOTE),
    Case(
        "fraction-for-percent.json",
        "standard/fraction-for-percent",
        f"{RECIPE}/efficiency/brewhouse",
        "0.72",
    ),
    Case("utf-16.json", "standard/impossible-value", f"{WATER}/sodium", "-14"),
    Case("windows-1252.json", "standard/impossible-value", f"{WATER}/sodium", "-14"),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.file}:{case.pointer}")
def test_it_is_found_at_its_line(case: Case) -> None:
    found = [item for item in of_rule(read(case.file), case.rule) if item.pointer == case.pointer]
    assert len(found) == 1
    declared = DEVIATIONS[case.rule].severity
    assert (found[0].severity or declared) is (case.severity or declared)
    assert found[0].values["count"] == case.count
    assert len(found[0].related) == case.count - 1
    assert case.words in found[0].message
    text = decode_json(data_of(case.file)).text
    assert text.count(case.needle) == 1
    line = 1 + text[: text.index(case.needle)].count("\n")
    assert locate(data_of(case.file), "beerjson", [case.pointer])[case.pointer].line == line


def test_all_of_them_are_declared() -> None:
    assert {case.rule for case in CASES} <= set(DEVIATIONS)
    for name in sorted(path.name for path in FOLDER.glob("*.json")):
        assert {item.rule for item in read(name).findings} <= set(DEVIATIONS), name


def test_nothing_else_is_found() -> None:
    expected = {(case.file, case.rule, case.pointer) for case in CASES}
    for name in {case.file for case in CASES}:
        for item in read(name).findings:
            if item.pointer:
                assert (name, item.rule, item.pointer) in expected


@pytest.mark.parametrize(
    "name", ["plain.json", "boil-salts.json", "fluoride.json", "pieces-and-volumes.json"]
)
def test_a_file_that_keeps_to_the_standard_has_no_finding(name: str) -> None:
    result = read(name)
    assert result.findings == ()
    assert result.status == "checked"


@pytest.mark.parametrize(
    ("name", "rule", "severity", "label"),
    [
        ("byte-order-mark.json", "file/encoding-repaired", NOTE, "byte-order-mark"),
        ("utf-16.json", "file/encoding-repaired", NOTE, "utf-16"),
        ("windows-1252.json", "file/encoding-repaired", None, "windows-1252"),
        ("surrogates.json", "file/encoding-repaired", None, "lone-surrogates"),
        ("raw-line-break.json", "file/markup-repaired", None, "control-characters"),
    ],
)
def test_repairs_are_said(name: str, rule: str, severity: Severity | None, label: str) -> None:
    result = read(name)
    (found,) = of_rule(result, rule)
    assert (found.severity, found.values["value"]) == (severity, label)
    assert result.repaired == (label,)
    assert result.status == "checked"
    assert len(result.recipes) == 1


@pytest.mark.parametrize(
    ("name", "line", "column", "words"),
    [
        # The brace behind the comma; the letter s behind the last brace; the end of the text.
        ("trailing-comma.json", 138, 9, "a comma is followed by nothing"),
        ("text-behind.json", 144, 1, "more text behind the end"),
        ("cut-short.json", 48, 5, "it ends too early"),
    ],
)
def test_what_is_no_json_is_named_with_its_place(
    name: str, line: int, column: int, words: str
) -> None:
    result = read(name)
    (found,) = result.findings
    assert found.rule == "file/unreadable"
    assert (found.line, found.column) == (line, column)
    assert words in found.message
    assert result.status == "not_checked"
    lines = data_of(name).decode().split("\n")
    assert lines[line - 1][column - 1 : column] in ("}", "s", "")


@pytest.mark.parametrize("name", ["too-deep.json", "deep-notes.json"])
def test_deep_nesting_is_refused(name: str) -> None:
    result = read(name)
    assert [item.rule for item in result.findings] == ["file/too-deep"]
    assert result.status == "not_checked"


@pytest.mark.parametrize(
    ("name", "status", "words"),
    [
        ("foreign.json", "skipped", "without the member beerjson"),
        ("list-of-documents.json", "not_checked", "a list of 2 documents"),
    ],
)
def test_what_holds_no_recipe_is_said(name: str, status: str, words: str) -> None:
    result = read(name)
    (found,) = result.findings
    assert found.rule == "file/not-a-recipe"
    assert words in found.message
    assert result.status == status


@pytest.mark.parametrize(
    ("name", "pointer"), [("no-root.json", "/recipes/0"), ("bare-recipe.json", "")]
)
def test_recipes_without_their_root_are_read(name: str, pointer: str) -> None:
    result = read(name)
    assert [item.rule for item in result.findings] == ["file/root-not-standard"]
    assert result.status == "checked"
    (recipe,) = result.recipes
    assert recipe.origin.path == pointer
    assert recipe.batch_l == 21.0
