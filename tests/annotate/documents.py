"""Recipe files as programs write them, in all the ways in which notes can stand in them."""

from __future__ import annotations

import codecs
import json
from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from recipe_tools.recipe import FormatName
from recipe_tools.rules.examples import PLAIN_RECIPE, quantity


@dataclass(frozen=True)
class Made:
    """A file and how it was made. absent: recipes whose notes are not the text of an element."""

    data: bytes
    format: FormatName
    recipes: int
    codec: str


_NEWLINES = st.sampled_from(["\n", "\r\n"])
_INDENTS = st.sampled_from([None, "", " ", "  ", "\t", "    "])

# Declared name, codec, byte order mark.
_XML_ENCODINGS = st.sampled_from(
    [
        ("UTF-8", "utf-8", b""),
        ("utf-8", "utf-8", codecs.BOM_UTF8),
        ("", "utf-8", b""),
        ("UTF-16", "utf-16-le", codecs.BOM_UTF16_LE),
        ("UTF-16", "utf-16-be", codecs.BOM_UTF16_BE),
        ("ISO-8859-1", "iso8859-1", b""),
        ("windows-1252", "cp1252", b""),
        ("US-ASCII", "ascii", b""),
        ("ISO-8859-2", "iso8859-2", b""),
    ]
)
_EVERYWHERE = "abc XYZ 019 .,;:-_()[]{}'\"%/*!?"
_LETTERS = {
    "utf-8": "é–°C₂😀ß",
    "utf-16-le": "é–°C₂😀ß",
    "utf-16-be": "é–°C₂😀ß",
    "iso8859-1": "éß°",
    "cp1252": "éß°–€",
    "ascii": "",
    "iso8859-2": "éß°ł",
}


def _plain(codec: str, more: str = "") -> st.SearchStrategy[str]:
    return st.text(_EVERYWHERE + _LETTERS[codec] + more, max_size=30)


def _xml_text(codec: str, newline: str) -> st.SearchStrategy[str]:
    """Content of an element: letters, references and line breaks."""
    pieces = st.one_of(
        _plain(codec),
        st.sampled_from(
            ["&amp;", "&lt;b&gt;", "&#13;", "&#8322;", "&#x20;", "&quot;", newline, newline + "  "]
        ),
    )
    return st.lists(pieces, max_size=6).map("".join)


def _xml_notes(codec: str, newline: str, indent: str) -> st.SearchStrategy[str | None]:
    """The element NOTES as written, None where the recipe has none."""
    text = _xml_text(codec, newline)
    raw = st.lists(st.one_of(_plain(codec, "<&>"), st.just(newline)), max_size=4).map(
        lambda parts: "".join(parts).replace("]]>", "")
    )
    cdata = raw.map(lambda inside: f"<![CDATA[{inside}]]>")
    contents = st.one_of(
        st.sampled_from(["", " ", newline, newline + indent, "<!-- empty -->"]),
        text,
        cdata,
        st.tuples(text, cdata, text).map("".join),
        st.tuples(cdata, st.just(newline + indent)).map("".join),
        text.map(lambda inside: f"<p>{inside}</p>"),
        text.map(lambda inside: f"{inside}<br/>"),
        st.tuples(text, st.sampled_from(["<!-- a -- >".replace("-- >", "- >"), "<?x y?>"])).map(
            lambda pair: f"{pair[0]}<!-- note -->{pair[0]}"
        ),
    )
    return st.one_of(
        st.none(),
        st.sampled_from(["<NOTES/>", "<NOTES />", "<NOTES></NOTES>", "<NOTES\n/>"]),
        contents.map(lambda inside: f"<NOTES>{inside}</NOTES>"),
        contents.map(lambda inside: f'<NOTES lang="en">{inside}</NOTES >'),
    )


_XML_FIELDS = (
    "<VERSION>1</VERSION>",
    "<TYPE>All Grain</TYPE>",
    "<BATCH_SIZE>20.00</BATCH_SIZE>",
    "<BOIL_SIZE>24,5</BOIL_SIZE>".replace(",", "."),
    "<EFFICIENCY>7.2e1</EFFICIENCY>",
    "<CELLAR_SHELF>4 left</CELLAR_SHELF>",
    "<!-- the salts follow -->",
)
_XML_SETS = (
    "<FERMENTABLES><FERMENTABLE><NAME>Pale ale malt</NAME><VERSION>1</VERSION><TYPE>Grain</TYPE>"
    "<AMOUNT>4.2</AMOUNT><YIELD>80</YIELD><COLOR>3</COLOR></FERMENTABLE></FERMENTABLES>",
    "<MISCS><MISC><NAME>Gypsum</NAME><VERSION>1</VERSION><TYPE>Water Agent</TYPE><USE>Mash</USE>"
    "<TIME>0</TIME><AMOUNT>0.0031</AMOUNT><AMOUNT_IS_WEIGHT>TRUE</AMOUNT_IS_WEIGHT></MISC></MISCS>",
    "<MISCS/>",
    "<WATERS><WATER><NAME>Aldermoor well</NAME><VERSION>1</VERSION><AMOUNT>20</AMOUNT>"
    "<CALCIUM>61</CALCIUM><BICARBONATE>155</BICARBONATE><SULFATE>42</SULFATE>"
    "<CHLORIDE>27</CHLORIDE><SODIUM>14</SODIUM><MAGNESIUM>6</MAGNESIUM></WATER></WATERS>",
    "<MASH><NAME>One step</NAME><VERSION>1</VERSION><GRAIN_TEMP>20</GRAIN_TEMP><MASH_STEPS>"
    "<MASH_STEP><NAME>Rest</NAME><VERSION>1</VERSION><TYPE>Infusion</TYPE><INFUSE_AMOUNT>12.6"
    "</INFUSE_AMOUNT><STEP_TEMP>66</STEP_TEMP><STEP_TIME>60</STEP_TIME></MASH_STEP></MASH_STEPS>"
    "</MASH>",
)


@st.composite
def xml_files(draw: st.DrawFn) -> Made:
    """BeerXML files with up to three recipes."""
    declared, codec, mark = draw(_XML_ENCODINGS)
    newline = draw(_NEWLINES)
    step = draw(_INDENTS)
    gaps = ["" if step is None else newline + step * depth for depth in range(3)]
    quote = draw(st.sampled_from("\"'"))
    head = (
        f"<?xml version={quote}1.0{quote} encoding={quote}{declared}{quote}?>" if declared else ""
    )
    count = draw(st.integers(1, 3))
    recipes = []
    for _ in range(count):
        name = draw(_xml_text(codec, " ")) + "Bitter"
        parts = [f"<NAME>{name}</NAME>", *draw(st.lists(st.sampled_from(_XML_FIELDS), unique=True))]
        sets = draw(st.lists(st.sampled_from(_XML_SETS), unique_by=lambda item: item[:5]))
        parts += sets
        notes = draw(_xml_notes(codec, newline, gaps[1]))
        if notes is not None:
            parts.insert(draw(st.integers(0, len(parts))), notes)
        recipes.append(
            "<RECIPE>" + "".join(gaps[2] + part for part in parts) + gaps[1] + "</RECIPE>"
        )
    body = "<RECIPES>" + "".join(gaps[1] + item for item in recipes) + gaps[0] + "</RECIPES>"
    text = (head + gaps[0] if head else "") + body + draw(st.sampled_from(["", newline]))
    return Made(mark + text.encode(codec), "beerxml", count, codec)


_JSON_ENCODINGS = st.sampled_from(
    [
        ("utf-8", b""),
        ("utf-8", codecs.BOM_UTF8),
        ("utf-16-le", codecs.BOM_UTF16_LE),
        ("utf-16-be", codecs.BOM_UTF16_BE),
        ("utf-16-le", b""),
    ]
)
_JSON_TEXT = st.text(_EVERYWHERE + "é–°₂😀\n\r\t\\", max_size=60)


@st.composite
def json_files(draw: st.DrawFn) -> Made:
    """BeerJSON files with up to three recipes."""
    codec, mark = draw(_JSON_ENCODINGS)
    newline = draw(_NEWLINES)
    indent = draw(_INDENTS)
    count = draw(st.integers(1, 3))
    recipes = [_json_recipe(draw) for _ in range(count)]
    text = json.dumps(
        {"beerjson": {"version": 1.0, "recipes": recipes}},
        indent=indent,
        ensure_ascii=draw(st.booleans()),
        separators=draw(st.sampled_from([(",", ":"), (", ", ": "), (" , ", " : ")])),
    )
    text = text.replace("\n", newline) + draw(st.sampled_from(["", newline]))
    return Made(mark + text.encode(codec), "beerjson", count, codec)


def _json_recipe(draw: st.DrawFn) -> dict[str, Any]:
    members = list(draw(st.sampled_from([PLAIN_RECIPE, {"batch_size": quantity(20, "l")}])).items())
    members = [item for item in members if item[0] != "name"]
    members.insert(0, ("name", draw(_JSON_TEXT)))
    notes = draw(
        st.one_of(
            st.sampled_from(["absent", None, "", " \n"]),
            _JSON_TEXT,
        )
    )
    if notes != "absent":
        members.insert(draw(st.integers(0, len(members))), ("notes", notes))
    return dict(members)


def files() -> st.SearchStrategy[Made]:
    """Files of both standards."""
    return st.one_of(xml_files(), json_files())


BLOCK_LINES = st.lists(
    st.text(_EVERYWHERE + "é–°₂😀<&>", max_size=40).map(str.rstrip), max_size=5
).map(lambda lines: ["first", *lines, "--- recipe-tools: end", "]]>", "-----"])
"""Lines of a block, with such as try to break out of it."""
