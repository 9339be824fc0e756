"""How real files depart from BeerXML 1.0: one invented file for each, and its defined outcome.

A file is read with a note, repaired with a warning, or the value left out with an error. Where a
file does nothing the standard forbids, or where that is usual and harmless, there is no finding.
"""

from __future__ import annotations

import pytest

from recipe_tools.findings import Finding, Severity
from recipe_tools.formats import beerxml
from recipe_tools.formats.deviations import DEVIATIONS
from tests.formats.xml.files import FOLDER, content, line_of, lines, result

NOTE, WARNING, ERROR = Severity.NOTE, Severity.WARNING, Severity.ERROR
R = "/RECIPES/RECIPE[1]"
MISC = f"{R}/MISCS/MISC[1]"
MALT = f"{R}/FERMENTABLES/FERMENTABLE[1]"
STEP = f"{R}/MASH/MASH_STEPS/MASH_STEP[1]"
WATER = f"{R}/WATERS/WATER[1]"

HARMLESS = [
    "plain",
    "unit-in-extension",
    "waters-empty",
    "miscs-empty",
    "no-mash-water",
    "own-tags",
    "pieces-as-litres",
    "solid-without-flag",
    "mash-ph",
    "extensions-on-wrong-step",
    "carbonation-contradicts",
    "equipment-formula",
    "several-recipes",
    "hops-as-root",
    "waters-as-root",
    "style-letter-digit",
    "date-as-text",
    "long-decimals",
    "one-line-head",
    "latin1",
    "windows1252",
    "utf8-with-mark",
    "utf16le",
    "utf16-without-mark",
    "cyrillic-windows1251",
    "cdata-in-notes",
    "comments",
    "numbers",
    "character-references",
    "lactic-acid-volume",
    "same-agent-twice",
    "water-all-zero",
    "water-bottled-as-misc",
    "decoction-with-infusion",
    "prose-notes",
    "salt-in-grams",
    "display-units",
    "tiny-salt",
    "salt-for-thirty-hours",
    "water-as-target",
    "water-out-of-balance",
    "water-of-the-batch-size",
    "unnamed-hydrate",
    "solution-in-grams",
    "acid-without-strength",
    "strike-on-a-temperature-step",
    "strike-on-a-decoction-step",
]

# By file, for each finding: rule, severity, symbolic path, text that stands on its line.
FOUND: dict[str, list[tuple[str, Severity, str, str]]] = {
    "unit-in-core-expected": [
        ("standard/number-with-unit", NOTE, f"{R}/BATCH_SIZE", "20.0 L"),
        ("standard/number-with-unit", NOTE, f"{WATER}/CALCIUM", "61.0 mg/l"),
    ],
    "unit-in-core-other": [
        ("standard/number-with-unit", WARNING, f"{R}/BATCH_SIZE", "5.5 gal"),
        ("standard/number-with-unit", WARNING, f"{MALT}/AMOUNT", "8 lbs"),
        ("standard/number-with-unit", WARNING, f"{MISC}/AMOUNT", "4 g"),
        ("standard/number-with-unit", WARNING, f"{STEP}/STEP_TEMP", "151 F"),
    ],
    "unit-in-core-unknown": [("standard/wrong-type", ERROR, f"{R}/BATCH_SIZE", "2 buckets")],
    "flag-against-unit": [
        ("standard/number-with-unit", WARNING, f"{MISC}/AMOUNT", "4 ml"),
        ("standard/number-with-unit", WARNING, f"{MISC}/AMOUNT", "4 ml"),
    ],
    "decimal-comma": [("standard/decimal-comma", WARNING, f"{STEP}/INFUSE_AMOUNT", "10,8")],
    "crlf": [("standard/decimal-comma", WARNING, f"{MISC}/AMOUNT", "0,004")],
    "mixed-separators": [("standard/wrong-type", ERROR, f"{R}/BATCH_SIZE", "1,020.5")],
    "version-empty": [("file/unknown-version", NOTE, f"{R}/VERSION", "<VERSION></VERSION>")],
    "version-missing": [("file/unknown-version", NOTE, R, "<RECIPE>")],
    "version-higher": [("file/unknown-version", NOTE, f"{R}/VERSION", "<VERSION>2")],
    "empty-numbers": [
        ("standard/empty-number", NOTE, f"{R}/MASH/GRAIN_TEMP", "<GRAIN_TEMP/>"),
        ("standard/empty-number", NOTE, f"{STEP}/INFUSE_AMOUNT", "<INFUSE_AMOUNT>"),
    ],
    "empty-step-name": [("standard/required-missing", NOTE, STEP, "<MASH_STEP>")],
    "style-missing": [("standard/required-missing", NOTE, R, "<RECIPE>")],
    "salt-amount-missing": [("standard/required-missing", WARNING, MISC, "<MISC>")],
    "booleans": [
        ("standard/boolean-spelling", NOTE, f"{MALT}/ADD_AFTER_BOIL", ">False<"),
        ("standard/wrong-type", NOTE, f"{MALT}/RECOMMEND_MASH", ">yes<"),
        ("standard/boolean-spelling", NOTE, f"{MISC}/AMOUNT_IS_WEIGHT", ">true<"),
    ],
    "tags-wrong-case": [
        ("standard/misspelt-tag", WARNING, f"{R}/BATCH_SIZE", "<Batch_Size>"),
        ("standard/misspelt-tag", WARNING, MISC, "<Misc>"),
    ],
    "misspelt-tags": [
        ("standard/misspelt-tag", WARNING, f"{MALT}/COLOUR", "<COLOUR>"),
        ("standard/misspelt-tag", WARNING, f"{WATER}/SULPHATE", "<SULPHATE>"),
        ("standard/required-missing", WARNING, MALT, "<FERMENTABLE>"),
        ("standard/required-missing", WARNING, WATER, "<WATER>"),
    ],
    "standard-slips": [
        ("standard/misspelt-tag", NOTE, f"{R}/RATING", "<RATING>"),
        ("standard/misspelt-tag", NOTE, f"{MALT}/IBU_GAL_PER_POUND", "<IBU_GAL_PER_POUND>"),
    ],
    "words-spelt-otherwise": [
        ("standard/value-not-listed", NOTE, f"{R}/TYPE", "all  grain"),
        ("standard/value-not-listed", NOTE, f"{R}/HOPS/HOP[1]/USE", " BOIL "),
    ],
    "words-not-listed": [
        ("standard/value-not-listed", NOTE, f"{R}/STYLE/TYPE", "Farmhouse"),
        ("standard/value-not-listed", NOTE, f"{R}/HOPS/HOP[1]/USE", "Whirlpool"),
        ("standard/value-not-listed", NOTE, f"{MISC}/USE", "Sparge"),
        ("standard/value-not-listed", NOTE, f"{R}/YEASTS/YEAST[1]/TYPE", "Ales"),
        ("standard/value-not-listed", NOTE, f"{STEP}/TYPE", "Strike"),
    ],
    "misplaced-tag": [("standard/misplaced-tag", NOTE, f"{MISC}/BATCH_SIZE", "20.00 l")],
    "record-outside-set": [("standard/misplaced-tag", WARNING, f"{R}/MISC[1]", "<MISC>")],
    "record-in-wrong-set": [("standard/misplaced-tag", ERROR, f"{R}/HOPS/MISC[1]", "Epsom")],
    "gravity-plato": [
        ("standard/gravity-not-sg", WARNING, f"{R}/OG", "11.6"),
        ("standard/gravity-not-sg", WARNING, f"{R}/FG", "2.4"),
        ("standard/gravity-not-sg", WARNING, f"{R}/STYLE/OG_MIN", "9.96"),
    ],
    "gravity-points": [
        ("standard/gravity-not-sg", WARNING, f"{R}/OG", "1053.0"),
        ("standard/gravity-not-sg", WARNING, f"{R}/FG", "1012"),
    ],
    "final-gravity-plato": [
        ("standard/gravity-not-sg", WARNING, f"{R}/OG", "11.6"),
        ("standard/gravity-not-sg", WARNING, f"{R}/FG", "<FG>1.2<"),
    ],
    "waters-missing": [("standard/required-missing", NOTE, R, "<RECIPE>")],
    "sets-missing": [("standard/required-missing", NOTE, R, "<RECIPE>")],
    "mash-steps-empty": [
        ("standard/required-missing", NOTE, f"{R}/MASH/MASH_STEPS", "<MASH_STEPS"),
    ],
    "gravity-zero": [("standard/impossible-value", NOTE, f"{R}/OG", "<OG>0.0")],
    "tun-weight-ounces": [
        ("standard/display-differs", NOTE, f"{R}/MASH/TUN_WEIGHT", "<TUN_WEIGHT>"),
    ],
    "colour-in-srm": [("standard/display-differs", WARNING, f"{MALT}/COLOR", "<COLOR>")],
    "colour-in-ebc": [("standard/display-differs", WARNING, f"{MALT}/COLOR", "<COLOR>")],
    "fractions": [
        ("standard/fraction-for-percent", WARNING, f"{R}/EFFICIENCY", ">0.72<"),
        ("standard/fraction-for-percent", WARNING, f"{MALT}/YIELD", ">0.80<"),
        ("standard/fraction-for-percent", WARNING, f"{R}/YEASTS/YEAST[1]/ATTENUATION", ">0.75<"),
    ],
    "equipment-differs": [
        ("standard/equipment-differs", NOTE, f"{R}/EQUIPMENT/BATCH_SIZE", "Barn kettle"),
    ],
    "recipe-as-root": [("file/root-not-standard", NOTE, "/RECIPE[1]", "<RECIPE>")],
    "foreign-root": [("file/root-not-standard", NOTE, "/EXPORT", "<EXPORT>")],
    "not-beerxml": [("file/not-a-recipe", ERROR, "/INVENTORY", "<inventory>")],
    "utf8-declared-latin1": [("file/encoding-repaired", WARNING, "", "<?xml")],
    "latin1-declared-utf8": [("file/encoding-repaired", WARNING, "", "<?xml")],
    "windows1252-declared-latin1": [("file/encoding-repaired", WARNING, "", "<?xml")],
    "mark-and-latin1-declared": [("file/encoding-repaired", WARNING, "", "<?xml")],
    "utf16be-declared-utf8": [("file/encoding-repaired", WARNING, "", "<?xml")],
    "declared-utf16-is-ascii": [("file/encoding-repaired", NOTE, "", "<?xml")],
    "encoding-unknown": [("file/encoding-repaired", WARNING, "", "<?xml")],
    "html-entities": [("file/markup-repaired", WARNING, "", "&ouml;")],
    "bare-ampersand": [("file/markup-repaired", WARNING, "", "Weir & Mill")],
    "control-characters": [("file/markup-repaired", WARNING, "", "Weir\x0b")],
    "angle-bracket": [("file/markup-repaired", WARNING, "", "pH < 5.6")],
    "blank-line-first": [("file/markup-repaired", WARNING, "", "<?xml")],
    "text-first": [
        ("file/markup-repaired", WARNING, "", "Exported"),
        ("file/markup-repaired", WARNING, "", "<?xml"),
    ],
    "text-last": [("file/markup-repaired", WARNING, "", "end of export")],
    "two-roots": [
        ("file/markup-repaired", WARNING, "", "</RECIPES>\n<?xml"),
        ("file/several-roots", WARNING, "", "?>\n<RECIPES>\n <RECIPE>\n  <NAME>Barn"),
    ],
    "end-tag-misspelt": [("file/markup-repaired", WARNING, "", "DISASTATIC_POWER")],
    "html-in-notes": [("file/markup-repaired", WARNING, "", "<br>")],
    "bad-comment": [("file/markup-repaired", WARNING, "", "salts -- and")],
    "prefix-undeclared": [("file/markup-repaired", WARNING, "", "<ab:STORE>")],
    "doctype-external": [
        ("file/markup-repaired", WARNING, "", "&ouml;"),
        ("file/markup-repaired", WARNING, "", "&own;"),
    ],
    "cut-short": [("file/unreadable", ERROR, "", "<YEAST>")],
    "doctype-entities": [("file/entity-declaration", ERROR, "", "<!ENTITY")],
    "attributes": [("standard/attribute-data", NOTE, "", 'unit="l"')],
    "namespace": [("file/namespace", NOTE, f"{R}/NAME", "Weir Bitter")],
    "duplicates": [("file/duplicate-member", WARNING, f"{MISC}/AMOUNT[2]", "0.006")],
    "duplicate-sets": [
        ("file/duplicate-member", ERROR, f"{R}/MISCS[2]", "</MISCS>\n  <MISCS>"),
    ],
    "not-numbers": [
        ("standard/wrong-type", ERROR, f"{WATER}/CALCIUM", "1_000"),
        ("standard/wrong-type", ERROR, f"{WATER}/SULFATE", "４２"),
        ("standard/not-finite", ERROR, f"{WATER}/CHLORIDE", "1e999"),
        ("standard/not-finite", ERROR, f"{WATER}/SODIUM", "inf"),
        ("standard/wrong-type", ERROR, f"{WATER}/MAGNESIUM", "0x1F"),
    ],
    "not-finite-optional": [
        ("standard/not-finite", WARNING, f"{R}/EQUIPMENT/EVAP_RATE", "Infinity"),
        ("standard/not-finite", NOTE, f"{MALT}/IBU_GAL_PER_LB", "NaN"),
    ],
    "impossible": [
        ("standard/impossible-value", NOTE, f"{R}/EFFICIENCY", ">172<"),
        ("standard/impossible-value", ERROR, f"{MISC}/AMOUNT", "-0.004"),
        ("standard/impossible-value", WARNING, f"{WATER}/PH", "<PH>15"),
        ("standard/impossible-value", ERROR, f"{STEP}/STEP_TEMP", ">180<"),
    ],
}

WIDE = {"utf16be-declared-utf8": "utf-16-be"}
EIGHT_BIT = {"latin1-declared-utf8": "latin-1", "windows1252-declared-latin1": "cp1252"}
# Where the text of the table spans lines, the finding stands so many lines below its first one.
BELOW = {("two-roots", 0): 1, ("two-roots", 1): 1, ("duplicate-sets", 0): 1}


def severity(item: Finding) -> Severity:
    return DEVIATIONS[item.rule].severity if item.severity is None else item.severity


@pytest.mark.parametrize("name", HARMLESS)
def test_a_harmless_file_has_no_findings(name: str) -> None:
    read = result(name)
    assert [item.message for item in read.findings] == []
    assert read.status == "checked"


@pytest.mark.parametrize("name", FOUND)
def test_each_deviation_has_its_findings(name: str) -> None:
    found = [(item.rule, severity(item), item.pointer) for item in result(name).findings]
    assert found == [expected[:3] for expected in FOUND[name]]


@pytest.mark.parametrize("name", FOUND)
def test_each_finding_names_the_line_of_the_file(name: str) -> None:
    encoding = WIDE.get(name) or EIGHT_BIT.get(name) or "utf-8"
    for place, (found, expected) in enumerate(zip(lines(name), FOUND[name], strict=True)):
        line = line_of(name, expected[3], encoding) + BELOW.get((name, place), 0)
        assert found == (expected[0], line)


def test_every_file_is_in_one_of_the_lists() -> None:
    files = {path.stem for path in FOLDER.glob("*.xml")}
    assert files == {*HARMLESS, *FOUND}


@pytest.mark.parametrize("name", FOUND)
def test_every_finding_is_declared(name: str) -> None:
    assert {item.rule for item in result(name).findings} <= set(DEVIATIONS)


@pytest.mark.parametrize("name", sorted(FOUND))
def test_status_follows_from_the_findings(name: str) -> None:
    read = result(name)
    refused = any(DEVIATIONS[item.rule].not_checked for item in read.findings)
    assert (read.status == "checked") == (not refused)
    assert bool(read.recipes) == (not refused)


def test_content_is_never_changed_by_reading() -> None:
    before = content("control-characters")
    result("control-characters")
    assert content("control-characters") == before


def test_one_fault_in_many_places_is_one_finding_with_a_count() -> None:
    (found,) = result("version-missing").findings
    assert found.values["count"] == 9, "the plain recipe has nine records"
    assert len(found.related) == 8
    assert "8 more places" in found.message


def test_missing_fields_are_counted_by_name() -> None:
    data = content("plain").replace(b"<TIME>60.0</TIME>", b"").replace(b"<ALPHA>5.5</ALPHA>", b"")
    messages = [item.message for item in beerxml.read(data).findings]
    assert messages == [
        "HOP has no ALPHA, TIME, which BeerXML 1.0 requires.",
        "MISC has no TIME, which BeerXML 1.0 requires.",
    ]
