"""Places of values: lines and columns as editors count them, and bytes that parse to the value."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.formats.json_positions import (
    InsertionPoint,
    codec,
    insertion_point,
    locate,
    locate_names,
    spans,
)
from recipe_tools.formats.regions import Region
from tests.formats.json.samples import RECIPE, data_of


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
    assert spans(data, ["/malt/color", "/x"]) == {}


def test_the_name_of_a_member() -> None:
    data = '{"ion": {"Ca²⁺": 3}}'.encode()
    assert locate_names(data, ["/ion/Ca²⁺", "/ion"]) == {
        "/ion/Ca²⁺": Region(1, 10, 1, 16),
        "/ion": Region(1, 2, 1, 7),
    }


@pytest.mark.parametrize("break_", ["\n", "\r\n", "\r"])
def test_every_kind_of_line_break(break_: str) -> None:
    data = break_.join(["{", '"a":', "7}"]).encode()
    assert locate(data, ["/a"])["/a"] == Region(3, 1, 3, 2)
    assert spans(data, ["/a"])["/a"] == (data.index(b"7"), data.index(b"7") + 1)


def test_columns_count_code_points() -> None:
    # One barley ear beyond the Basic Multilingual Plane, one letter with two bytes in UTF-8.
    data = '{"🌾ü": 1}'.encode()
    assert locate(data, ["/🌾ü"])["/🌾ü"] == Region(1, 8, 1, 9)
    assert spans(data, ["/🌾ü"])["/🌾ü"] == (11, 12)


def test_escapes_in_names() -> None:
    data = rb'{"qt\/lb": 1, "a~b": 2, "\u0070H": 3, "": 4}'
    found = spans(data, ["/qt~1lb", "/a~0b", "/pH", "/"])
    assert {pointer: data[start:end] for pointer, (start, end) in found.items()} == {
        "/qt~1lb": b"1",
        "/a~0b": b"2",
        "/pH": b"3",
        "/": b"4",
    }


def test_the_last_of_two_members_is_the_one_that_was_read() -> None:
    data = b'{"a": {"b": 1, "c": 2}, "a": {"b": 3}}'
    assert spans(data, ["/a/b", "/a/c"]) == {"/a/b": (35, 36)}
    assert locate(data, ["/a/c"])["/a/c"] == Region(1, 30, 1, 31)


def test_what_the_reader_tolerates_is_tolerated() -> None:
    data = b'{"n": NaN, "i": -Infinity, "x": 1e999, "t": "a\nb", "u": "\\ud800", "z": 5}'
    assert spans(data, ["/z"])["/z"] == (len(data) - 2, len(data) - 1)
    long = b'{"d": ' + b"9" * 5000 + b', "z": 5}'
    assert spans(long, ["/z"])["/z"] == (len(long) - 2, len(long) - 1)


def test_a_broken_text_gives_what_stands_before_the_fault() -> None:
    assert set(spans(b'{"a": 1, "b": tru', ["/a", "/b"])) == {"/a"}
    assert locate(b"[" * 5000, ["/0/0"]) is not None
    assert locate(b"", ["/a"]) == {}
    assert locate(b"\xff\xfe{", ["/a"]) == {}


@pytest.mark.parametrize(
    "name", ["plain.json", "utf-16.json", "windows-1252.json", "byte-order-mark.json"]
)
def test_bytes_of_values_in_every_encoding(name: str) -> None:
    data = data_of(name)
    pointers = [
        f"{RECIPE}/name",
        f"{RECIPE}/batch_size",
        f"{RECIPE}/mash/mash_steps/1/amount/value",
    ]
    found = spans(data, pointers)
    wide = "utf-16-le" if name.startswith("utf-16") else "cp1252"
    texts = [data[start:end].decode(wide) for start, end in (found[item] for item in pointers)]
    assert texts[0].startswith('"W')
    assert json.loads(texts[1]) == {"unit": "l", "value": 21}
    assert texts[2] == "17"


def test_the_codec_for_new_text() -> None:
    assert codec(data_of("utf-16.json")) == "utf-16-le"
    assert codec(data_of("plain.json")) == "utf-8"


def inserted(data: bytes, pointer: str, member: str) -> bytes:
    """A file with a member added the way an editor does it."""
    point = insertion_point(data, pointer)
    assert point is not None
    lead = "" if point.empty else ","
    if point.indent is not None:
        lead += point.newline + point.indent
    elif not point.empty:
        lead += " "
    return data[: point.at] + (lead + member).encode(codec(data)) + data[point.at :]


@pytest.mark.parametrize("name", ["plain.json", "utf-16.json", "byte-order-mark.json"])
def test_a_member_can_be_put_in(name: str) -> None:
    data = data_of(name)
    after = inserted(data, RECIPE, '"notes": "thick"')
    text = after.decode("utf-16" if name == "utf-16.json" else "utf-8-sig")
    assert json.loads(text)["beerjson"]["recipes"][0]["notes"] == "thick"
    line = next(line for line in text.split("\n") if '"notes"' in line)
    assert line.startswith('        "notes"')
    before = data.decode("utf-16" if name == "utf-16.json" else "utf-8-sig")
    assert before.split("\n")[-5:] == text.split("\n")[-5:]


def test_insertion_into_odd_objects() -> None:
    assert insertion_point(b'{"a": {}}', "/a") == InsertionPoint(7, True, None, "\n")
    assert insertion_point(b'{"a": { }}', "/a") == InsertionPoint(7, True, None, "\n", " ")
    assert insertion_point(b'{"a": {"b": 1}}', "/a") == InsertionPoint(13, False, None, "\n")
    assert insertion_point(b'{"a": 1}', "/a") is None
    assert insertion_point(b'{"a": 1}', "/b") is None
    assert inserted(b'{"a": {"b": [1, 2] }}', "/a", '"c": 3') == b'{"a": {"b": [1, 2], "c": 3 }}'


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
    found = spans(data, list(expected))
    plain = codec(data)
    assert set(found) == set(expected)
    for pointer, (start, end) in found.items():
        assert json.loads(data[start:end].decode(plain)) == expected[pointer]
    lines = text.split("\n")
    for pointer, region in locate(data, list(expected)).items():
        if region.line == region.end_line:
            piece = lines[region.line - 1][region.column - 1 : region.end_column - 1]
            assert json.loads(piece) == expected[pointer]
