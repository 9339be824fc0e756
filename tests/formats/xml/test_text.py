"""Encodings: what the bytes are, whatever is declared (XML 1.0, section 4.3.3, appendix F)."""

from __future__ import annotations

import pytest

from recipe_tools.formats import beerxml
from recipe_tools.formats.decoding import NotTextError, decode_xml
from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from tests.formats.xml.files import recipe, result


@pytest.mark.parametrize(
    ("name", "malt"),
    [
        ("utf8-declared-latin1", "Mälzerei-Röstmalz"),
        ("latin1-declared-utf8", "Röstmalz"),
        ("latin1", "Röstmalz"),
        ("mark-and-latin1-declared", "Röstmalz"),
        ("utf8-with-mark", "Röstmalz"),
        ("utf16le", "Röstmalz 🌾"),
        ("utf16be-declared-utf8", "Röstmalz"),
        ("encoding-unknown", "Röstmalz"),
        ("cyrillic-windows1251", "Солод"),
        ("html-entities", "Röstmalz, 20 °L"),
        ("doctype-external", "Röstmalz &own;"),
    ],
)
def test_letters_arrive_whole(name: str, malt: str) -> None:
    assert recipe(name).fermentables[0].name == malt


@pytest.mark.parametrize("name", ["windows1252-declared-latin1", "windows1252"])
def test_quotes_of_windows_are_no_control_characters(name: str) -> None:
    assert recipe(name).name == "The “Weir” – Bitter"


@pytest.mark.parametrize(
    ("name", "used"),
    [
        ("utf8-declared-latin1", "UTF-8"),
        ("latin1-declared-utf8", "Windows-1252"),
        ("windows1252-declared-latin1", "Windows-1252"),
        ("utf16be-declared-utf8", "UTF-16"),
        ("declared-utf16-is-ascii", "ASCII"),
    ],
)
def test_the_finding_names_the_encoding_used(name: str, used: str) -> None:
    (found,) = result(name).findings
    assert found.values["value"] == used
    assert result(name).repaired == ("encoding",)


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be", "utf-32-le", "utf-32-be", "utf-8"])
def test_any_unicode_encoding_is_known_by_its_first_bytes(encoding: str) -> None:
    text = PLAIN_TEXT.replace('encoding="UTF-8"', "").replace("Weir", "Wéir 🍺")
    assert beerxml.read(text.encode(encoding)).recipes[0].name == "Wéir 🍺 Bitter"
    marked = ("\ufeff" + text).encode(encoding)
    assert beerxml.read(marked).recipes[0].name == "Wéir 🍺 Bitter"


@pytest.mark.parametrize(
    ("declared", "codec", "name"),
    [
        ("Shift_JIS", "shift_jis", "麦芽"),
        ("GB2312", "gb2312", "麦芽"),
        ("KOI8-R", "koi8-r", "Солод"),
    ],
)
def test_declared_national_encodings_are_believed(declared: str, codec: str, name: str) -> None:
    text = PLAIN_TEXT.replace("UTF-8", declared).replace("Pale ale malt", name)
    read = beerxml.read(text.encode(codec))
    assert read.recipes[0].fermentables[0].name == name
    assert read.findings == ()


@pytest.mark.parametrize(
    "declared", ["zip", "zlib_codec", "unicode_escape", "idna", "hex", "rot13"]
)
def test_codecs_that_are_no_character_sets_are_not_run(declared: str) -> None:
    data = PLAIN_TEXT.replace("UTF-8", declared).replace("Weir", "W\u00e9ir").encode()
    decoded = decode_xml(data)
    assert decoded.encoding == "utf-8"
    assert decoded.mismatch is not None


@pytest.mark.parametrize("data", [b"\xff\xfe<\x00a", b"\xff\xfe\x00\xd8<\x00", b"\x00<\x00a\x00"])
def test_broken_wide_text_is_unreadable_not_an_exception(data: bytes) -> None:
    if len(data) % 2 or data[2:4] == b"\x00\xd8":
        with pytest.raises(NotTextError):
            decode_xml(data)
    assert beerxml.read(data).findings[0].rule == "file/unreadable"


@pytest.mark.parametrize("codec", ["utf-8", "latin-1", "cp1252", "utf-16-le", "shift_jis"])
def test_places_in_the_text_lead_back_to_the_bytes(codec: str) -> None:
    declared = {"utf-16-le": "UTF-16", "cp1252": "windows-1252"}.get(codec, codec)
    letters = "麦芽" if codec == "shift_jis" else "é" * 3
    text = PLAIN_TEXT.replace("UTF-8", declared).replace("Weir", letters)
    data = text.encode(codec)
    decoded = decode_xml(data)
    assert decoded.text == text
    for offset, place in decoded.byte_offsets([0, 5, 70, len(text)]).items():
        assert data[:place] == text[:offset].encode(codec)
