"""One value twice, under tags or members that differ in case or namespace: the true one wins.

BeerXML 1.0, document rules: tags are upper case and stand in no namespace; RFC 8259 section 8.3:
member names are compared letter by letter. Each file is compared with the one without the twin.
"""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from recipe_tools import formats
from recipe_tools.annotate.annotating import annotate_bytes
from recipe_tools.applying.note_lines import with_note_lines
from recipe_tools.checking import check_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from recipe_tools.formats.fields import RECORDS, SETS
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.recipe import Recipe, SourceFile
from tests.formats.json.samples import data_of

EXTRA = {
    "RECIPE": ("NOTES", "TASTE_NOTES", "OG", "FG", "IBU", "DATE", "EST_COLOR"),
    "FERMENTABLE": ("NOTES", "MOISTURE", "POTENTIAL", "RECOMMEND_MASH", "ADD_AFTER_BOIL"),
    "MISC": ("NOTES", "USE_FOR", "DISPLAY_AMOUNT"),
    "WATER": ("PH", "NOTES"),
    "MASH": ("PH", "SPARGE_TEMP", "NOTES"),
    "MASH_STEP": ("INFUSE_TEMP", "WATER_GRAIN_RATIO"),
    "YEAST": ("ATTENUATION",),
}
VALUES = {"OG": "1.048", "FG": "1.012", "RECOMMEND_MASH": "TRUE", "ADD_AFTER_BOIL": "FALSE"}
WITH_ALL = PLAIN_TEXT.replace("<RECIPES>", '<RECIPES xmlns:c="https://aldermoor.example/c">')
for record, tags in EXTRA.items():
    fields = "".join(f"<{tag}>{VALUES.get(tag, '5.5')}</{tag}>" for tag in tags)
    WITH_ALL = WITH_ALL.replace(f"</{record}>", f"{fields}</{record}>")
RECORD_TAGS = frozenset(RECORDS) - {"STYLE", "MASH", "EQUIPMENT"}
TAGS = sorted(set(re.findall(r"<([A-Z_]+)>", WITH_ALL)) - {"RECIPES"})
TWINS = {
    "lower case": "<{lower}>{inside}</{lower}>",
    "prefix": "<c:{tag}>{inside}</c:{tag}>",
    "prefix and lower case": "<c:{lower}>{inside}</c:{lower}>",
    "default namespace": '<{tag} xmlns="https://aldermoor.example/d">{inside}</{tag}>',
}


def read(data: bytes) -> tuple[Recipe, ...]:
    return formats.read(SourceFile("", data), DEFAULT_LIMITS).recipes


def twinned(tag: str, twin: str, *, before: bool, damaged: bool = False) -> bytes:
    """Return the recipe with a twin of each element of a tag, before or behind the true one."""
    inside = "<NAME>Impostor</NAME>" if tag in RECORDS or tag in SETS else "777"
    other = TWINS[twin].format(tag=tag, lower=tag.lower(), inside=inside)
    start, end = (other, "") if before else ("", other)
    text = WITH_ALL.replace(f"<{tag}>", f"{start}<{tag}>").replace(f"</{tag}>", f"</{tag}>{end}")
    return (text.replace("Weir Bitter", "Weir & Bitter") if damaged else text).encode()


@pytest.mark.parametrize("before", [True, False])
@pytest.mark.parametrize("twin", TWINS)
def test_the_true_tag_is_read_wherever_it_stands(twin: str, before: bool) -> None:
    expected = read(WITH_ALL.encode())
    wrong, silent = [], []
    for tag in TAGS:
        if twin == "lower case" and tag in RECORD_TAGS:
            continue  # two records of a set in another case are two records
        data = twinned(tag, twin, before=before)
        said = {item.rule for item in check_bytes(data, "weir.xml").findings}
        wrong += [tag] * (read(data) != expected)
        silent += [tag] * said.isdisjoint(("file/duplicate-member", "file/namespace"))
    assert (wrong, silent) == ([], [])


def test_a_repaired_file_keeps_its_namespaces_apart() -> None:
    expected = read(WITH_ALL.replace("Weir Bitter", "Weir & Bitter").encode())
    fields = [tag for tag in TAGS if tag not in SETS and tag not in RECORDS]
    assert [
        tag for tag in fields if read(twinned(tag, "prefix", before=True, damaged=True)) != expected
    ] == []


@pytest.mark.parametrize("twin", TWINS)
def test_findings_and_edits_take_the_value_that_was_read(twin: str) -> None:
    """A negative amount is shown where it stands; blocks and lines go into the true notes."""
    data = twinned("AMOUNT", twin, before=True).replace(b"<AMOUNT>0.004", b"<AMOUNT>-0.004")
    impossible = [
        item
        for item in check_bytes(data, "weir.xml").findings
        if item.rule == "standard/impossible-value"
    ]
    lines = data.decode().splitlines()
    assert [lines[(item.line or 0) - 1][(item.column or 0) - 1 :][:6] for item in impossible] == [
        "-0.004"
    ]
    noted = twinned("NOTES", twin, before=True)
    annotated = annotate_bytes(noted, "weir.xml", Options(), FileRequest())
    assert annotated.status == "annotated", annotated.problem
    path = read(noted)[0].origin.path
    for written in (annotated.data, with_note_lines(noted, "beerxml", path, ["Sparge slowly."])):
        assert len(written) > len(noted)
        assert written.count(b">777<") == noted.count(b">777<")
        assert len(read(written)[0].notes) > len(read(noted)[0].notes)


def test_a_foreign_tag_counts_where_no_plain_one_is() -> None:
    data = WITH_ALL.replace("<BATCH_SIZE>", "<c:BATCH_SIZE>").replace(
        "</BATCH_SIZE>", "</c:BATCH_SIZE>"
    )
    assert read(data.encode()) == read(WITH_ALL.encode())


def _members(value: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value)
    found = [at] if isinstance(at[-1] if at else 0, str) else []
    if isinstance(value, (dict, list)):
        for key, item in inside:
            found += _members(item, (*at, key)) if isinstance(item, (dict, list)) else []
            found += [(*at, key)] if isinstance(key, str) else []
    return list(dict.fromkeys(found))


PLAIN_JSON = json.loads(data_of("plain.json"))


@pytest.mark.parametrize("spelling", [str.upper, str.title])
@pytest.mark.parametrize("before", [True, False])
def test_a_member_in_another_case_never_takes_the_place_of_the_true_one(
    spelling: Any, before: bool
) -> None:
    expected = read(json.dumps(PLAIN_JSON).encode())
    for path in _members(PLAIN_JSON):
        *above, name = path
        if spelling(name) == name:
            continue
        whole = json.loads(json.dumps(PLAIN_JSON))
        holder = whole
        for key in above:
            holder = holder[key]
        members = dict(holder)
        holder.clear()
        for key, item in members.items():
            pair = [(key, item), (spelling(name), 777)] if key == name else [(key, item)]
            holder.update(reversed(pair) if before else pair)
        assert read(json.dumps(whole).encode()) == expected, path


def test_of_two_spellings_of_fluoride_the_standard_s_own_counts() -> None:
    whole = json.loads(json.dumps(PLAIN_JSON))
    water = whole["beerjson"]["recipes"][0]["ingredients"]["water_additions"][0]
    for name, size in (("fluoride", 7.0), ("flouride", 0.4)):
        water[name] = {"unit": "mg/l", "value": size}
    assert read(json.dumps(whole).encode())[0].waters[0].ions_mg_l["fluoride"] == 0.4
