"""JSON at its edges: what a parser would swallow or choke on comes back as a value."""

from __future__ import annotations

import json
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.formats import beerjson
from recipe_tools.formats.decoding import NotTextError, decode_json
from recipe_tools.formats.json_parse import Parsed, ParseFailure, parse
from recipe_tools.limits import Limits
from tests.formats.json.samples import data_of


def parsed(text: str, depth: int = 200) -> Parsed:
    result = parse(text, depth)
    assert isinstance(result, Parsed)
    return result


def test_members_of_one_name() -> None:
    result = parsed('{"a": 1, "b": [{"c/d": 1, "c/d": 2}], "a": 3}')
    assert result.value == {"a": 3, "b": [{"c/d": 2}]}
    assert set(result.duplicates) == {"/a", "/b/0/c~1d"}


def test_a_duplicate_that_was_overwritten_itself_is_gone() -> None:
    assert parsed('{"a": {"x": 1, "x": 2}, "a": 3}').duplicates == ("/a",)


def test_numbers_that_are_none() -> None:
    result = parsed('{"a": NaN, "b": [1, -Infinity], "c": {"d": 1e999, "e": 2}}')
    assert result.value == {"b": [1, None], "c": {"e": 2}}
    assert dict(result.not_finite) == {"/a": "NaN", "/b/1": "-Infinity", "/c/d": "1e999"}


def test_an_integer_of_more_digits_than_python_converts() -> None:
    digits = "7" * (sys.get_int_max_str_digits() + 1)
    result = parsed(f'{{"a": {digits}, "b": 1}}')
    assert result.value == {"b": 1}
    (found,) = result.not_finite
    assert found[0] == "/a"
    assert len(found[1]) <= 40


def test_integers_keep_their_digits() -> None:
    assert parsed("[123456789012345678901234567890]").value == [123456789012345678901234567890]


def test_half_a_surrogate_pair() -> None:
    result = parsed(r'{"a": "x\ud800y", "\udc00k": [1, "\ud83c\udf3e"]}')
    assert result.value == {"a": "x\ufffdy", "\ufffdk": [1, "\U0001f33e"]}
    assert set(result.surrogates) == {"/a", "/\ufffdk"}
    json.dumps(result.value, ensure_ascii=False).encode()


def test_raw_control_characters_in_a_text() -> None:
    result = parsed('{"a": "x\ty"}')
    assert result.value == {"a": "x\ty"}
    assert result.control_at == 8


@pytest.mark.parametrize("depth", [1, 5, 199, 200, 201, 5000, 200_000])
@pytest.mark.parametrize("brackets", ["[]", '{"a":}'])
def test_depth(depth: int, brackets: str) -> None:
    opening, closing = brackets[:-1], brackets[-1]
    text = opening * (depth - 1) + "[]" + closing * (depth - 1)
    result = parse(text, 200)
    if depth <= 200:
        assert isinstance(result, Parsed)
    else:
        assert isinstance(result, ParseFailure)
        assert result.kind == "depth"


@pytest.mark.parametrize(
    ("text", "offset", "words"),
    [
        ("", 0, "ends too early"),
        ("   ", 3, "ends too early"),
        ('{"a": [1, 2', 11, "ends too early"),
        ('{"a": [1,\n', 10, "ends too early"),
        ('{"a" 1}', 5, "a colon is missing"),
        ("[1 2]", 3, "a comma is missing"),
        ("{a: 1}", 1, "a member name in double quotes is missing"),
        ("{'a': 1}", 1, "a member name in double quotes is missing"),
        ('{"a": "b}', 6, "not closed"),
        ('{"a": nul}', 6, "missing or misspelt"),
        (r'{"a": "\x"}', 7, "escape"),
        ('{"a": 1} {"b": 2}', 9, "more text"),
    ],
)
def test_what_is_no_json(text: str, offset: int, words: str) -> None:
    result = parse(text, 200)
    assert isinstance(result, ParseFailure)
    assert words in result.reason
    assert abs(result.offset - offset) <= 1


@pytest.mark.parametrize("text", ['{"a": 1,}', "[1, ]", '{"a": [1,2,],"b":1}'])
def test_a_comma_before_the_end(text: str) -> None:
    result = parse(text, 200)
    assert isinstance(result, ParseFailure)
    assert result.reason == "a comma is followed by nothing"


@pytest.mark.parametrize(
    "encoding",
    ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-32-le", "utf-32-be"],
)
def test_each_encoding_is_recognised(encoding: str) -> None:
    text = '{"Mälzerei": "€ 🌾"}'
    assert decode_json(text.encode(encoding)).text == text


def test_bytes_that_are_no_utf_8_are_read_one_by_one() -> None:
    data = b'{"a": "' + "Öl €".encode("cp1252") + '", "b": "Öl"}'.encode()
    read = decode_json(data)
    assert read.text == '{"a": "Öl €", "b": "Öl"}'
    assert len(read.breaks) == 2
    for offset, place in read.byte_offsets(range(len(read.text))).items():
        letter = read.text[offset]
        assert data[place : place + 1] in (letter.encode("cp1252"), letter.encode()[:1])


def test_the_five_bytes_without_meaning_are_kept() -> None:
    assert decode_json(b'"\x81\x8d\x8f\x90\x9d"').text == '"\x81\x8d\x8f\x90\x9d"'


@pytest.mark.parametrize("data", [b"\xff\xfe{", b"\xfe\xff\x00{\xd8\x00", b"{\x00\x00"])
def test_a_damaged_wide_text_is_no_text(data: bytes) -> None:
    with pytest.raises(NotTextError):
        decode_json(data)
    result = beerjson.read(data, Limits())
    assert result.status == "not_checked"
    assert [item.rule for item in result.findings] == ["file/unreadable"]


def test_many_wrong_bytes_take_no_longer_than_others() -> None:
    data = b'{"a": "' + b"\xfc" * 300_000 + b'"}'
    assert decode_json(data).text.count("ü") == 300_000


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_no_bytes_bring_the_reader_down(data: st.DataObject) -> None:
    plain = data_of("plain.json")
    start = data.draw(st.integers(0, len(plain)))
    end = data.draw(st.integers(start, min(len(plain), start + 40)))
    piece = data.draw(st.binary(max_size=12))
    result = beerjson.read(plain[:start] + piece + plain[end:], Limits())
    assert result.recipes or result.findings
    for item in result.findings:
        json.dumps({"message": item.message, **item.values}, default=str).encode()
