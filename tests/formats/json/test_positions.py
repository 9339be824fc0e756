"""Places of values: lines and columns as editors count them, and bytes that parse to the value."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.formats import positions
from recipe_tools.formats.decoding import decode_json
from recipe_tools.formats.json_spans import JsonSpans
from recipe_tools.formats.regions import Region
from tests.formats.json.samples import RECIPE, data_of


def locate(data: bytes, pointers: list[str]) -> dict[str, Region]:
    return positions.locate(data, "beerjson", pointers)


def texts(data: bytes, pointers: list[str]) -> dict[str, str]:
    """Return what stands at the pointers that lead to a value."""
    text = decode_json(data).text
    spans = JsonSpans(text)
    return {at: spans.raw(value) for at in pointers if (value := spans.find(at)) is not None}


def test_lines_and_columns() -> None:
    data = b'{\n  "malt": {"kg": 4.5},\n  "salts": [\n    "gypsum", null]\n}\n'
    found = locate(data, ["", "/malt", "/malt/kg", "/salts/1"])
    assert found["/malt/kg"] == Region(2, 18, 2, 21)
    assert found["/malt"] == Region(2, 11, 2, 22)
    assert found["/salts/1"] == Region(4, 15, 4, 19)
    assert found[""] == Region(1, 1, 5, 2)


def test_an_absent_member_points_at_the_record_it_belongs_to() -> None:
    data = b'{\n "malt": {"kg": 4.5},\n "salts": []}'
    found = locate(
        data, ["/malt/color", "/malt/color/value", "/malt/kg/unit", "/salts/3/name", "/x"]
    )
    assert found["/malt/color"] == found["/malt/color/value"] == Region(2, 10, 2, 11)
    # A number has no members: the number itself is the innermost value.
    assert found["/malt/kg/unit"] == Region(2, 17, 2, 18)
    assert found["/salts/3/name"] == Region(3, 11, 3, 12)
    assert found["/x"] == Region(1, 1, 1, 2)
    assert texts(data, ["/malt/color", "/x"]) == {}


@pytest.mark.parametrize("break_", ["\n", "\r\n", "\r"])
def test_every_kind_of_line_break(break_: str) -> None:
    data = break_.join(["{", '"a":', "7}"]).encode()
    assert locate(data, ["/a"])["/a"] == Region(3, 1, 3, 2)
    assert texts(data, ["/a"]) == {"/a": "7"}


def test_columns_count_code_points() -> None:
    # One barley ear beyond the Basic Multilingual Plane, one letter with two bytes in UTF-8.
    data = '{"🌾ü": 1}'.encode()
    assert locate(data, ["/🌾ü"])["/🌾ü"] == Region(1, 8, 1, 9)


def test_escapes_in_names() -> None:
    data = rb'{"qt\/lb": 1, "a~b": 2, "\u0070H": 3, "": 4}'
    expected = {"/qt~1lb": "1", "/a~0b": "2", "/pH": "3", "/": "4"}
    assert texts(data, list(expected)) == expected


def test_the_last_of_two_members_is_the_one_that_was_read() -> None:
    data = b'{"a": {"b": 1, "c": 2}, "a": {"b": 3}}'
    assert texts(data, ["/a/b", "/a/c"]) == {"/a/b": "3"}
    assert locate(data, ["/a/c"])["/a/c"] == Region(1, 30, 1, 31)


def test_what_the_reader_tolerates_is_tolerated() -> None:
    data = b'{"n": NaN, "i": -Infinity, "x": 1e999, "t": "a\nb", "u": "\\ud800", "z": 5}'
    assert texts(data, ["/z"]) == {"/z": "5"}
    long = b'{"d": ' + b"9" * 5000 + b', "z": 5}'
    assert texts(long, ["/z"]) == {"/z": "5"}


@pytest.mark.parametrize("data", [b'{"a": 1, "b": tru', b"[" * 5000, b"", b"\xff\xfe{"])
def test_a_text_that_is_no_json_has_no_places(data: bytes) -> None:
    assert locate(data, ["/a", "/0/0"]) == {}


@pytest.mark.parametrize(
    "name", ["plain.json", "utf-16.json", "windows-1252.json", "byte-order-mark.json"]
)
def test_values_in_every_encoding(name: str) -> None:
    data = data_of(name)
    pointers = [
        f"{RECIPE}/name",
        f"{RECIPE}/batch_size",
        f"{RECIPE}/mash/mash_steps/1/amount/value",
    ]
    values = list(texts(data, pointers).values())
    assert values[0].startswith('"W')
    assert json.loads(values[1]) == {"unit": "l", "value": 21}
    assert values[2] == "17"


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4)
    ),
    max_leaves=20,
)


def pointers_of(value: Any, at: str = "") -> dict[str, Any]:
    found = {at: value}
    if isinstance(value, dict):
        for key, inner in value.items():
            found |= pointers_of(inner, f"{at}/{key.replace('~', '~0').replace('/', '~1')}")
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            found |= pointers_of(inner, f"{at}/{place}")
    return found


@settings(max_examples=200, deadline=None)
@given(
    json_values,
    st.sampled_from([None, 1, "\t"]),
    st.booleans(),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-32", "utf-16-be"]),
)
def test_the_bytes_at_every_pointer_are_its_value(
    value: Any, indent: int | str | None, ascii_only: bool, encoding: str
) -> None:
    text = json.dumps(value, indent=indent, ensure_ascii=ascii_only)
    if not ascii_only and any("\ud800" <= letter <= "\udfff" for letter in text):
        return
    data = text.encode(encoding)
    expected = pointers_of(value)
    found = texts(data, list(expected))
    assert set(found) == set(expected)
    for pointer, value_text in found.items():
        assert json.loads(value_text) == expected[pointer]
    lines = text.split("\n")
    for pointer, region in locate(data, list(expected)).items():
        if region.line == region.end_line:
            piece = lines[region.line - 1][region.column - 1 : region.end_column - 1]
            assert json.loads(piece) == expected[pointer]
