"""Files that another program has opened and saved: the block in the notes is still ours.

The ways in which notes come back are those that XML and JSON serialisers and form fields have:
common practice, no source.
"""

from __future__ import annotations

import html
import json
import textwrap
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from recipe_tools.own_block import FIRST_LINE
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_file,
    xml_misc,
)
from tests.cli.conftest import Run

Spell = Callable[[str], str]

WORDS = "Mash in at 66 °C & rest; <b>rack</b> on Sunday."

REEXPORTS: dict[str, Spell] = {
    "other line ends": lambda notes: notes.replace("\n", "\r\n"),
    "on one line": lambda notes: " ".join(notes.split()),
    "line breaks lost": lambda notes: notes.replace("\n", ""),
    "wrapped anew": lambda notes: textwrap.fill(notes, 48, initial_indent="\t"),
    "a blank line between all lines": lambda notes: notes.replace("\n", " \n\n"),
    "indented with hard blanks": lambda notes: notes.replace("\n", "\n\u00a0\u00a0"),
    "escaped twice": html.escape,
    "escaped three times": lambda notes: html.escape(html.escape(notes)),
    "breaks as in HTML": lambda notes: notes.replace("\n", "<br/>"),
    "paragraphs as in HTML": lambda notes: f"<p>{notes.replace(chr(10), '</p><p>')}</p>",
    "references to characters": lambda notes: "".join(
        letter if letter.isascii() else f"&#{ord(letter)};" for letter in notes
    ),
}


def json_with(change: Spell, data: bytes) -> bytes:
    """Return a BeerJSON file as another program saves it: members sorted, laid out anew."""
    content = json.loads(data)
    recipe = content["beerjson"]["recipes"][0]
    recipe["notes"] = change(recipe["notes"])
    return json.dumps(content, sort_keys=True, indent=4).encode()


def xml_with(change: Spell, data: bytes) -> bytes:
    """Return a BeerXML file as another program saves it: parsed and written anew."""
    root = ElementTree.fromstring(data)
    notes = root.find("RECIPE/NOTES")
    assert notes is not None and notes.text
    notes.text = change(notes.text)
    return ElementTree.tostring(root, "utf-8", xml_declaration=True)


def cdata_with(change: Spell, data: bytes) -> bytes:
    """Return a BeerXML file whose notes come back as a CDATA section."""
    plain = xml_with(change, data)
    start, end = plain.index(b"<NOTES>") + 7, plain.index(b"</NOTES>")
    inside = html.unescape(plain[start:end].decode())
    return plain[:start] + f"<![CDATA[{inside}]]>".encode() + plain[end:]


def written(here: Path, kind: str) -> tuple[Path, Callable[[Spell, bytes], bytes], bytes]:
    """Write a recipe with notes; return its file, how it is saved again, and another brew."""
    if kind == "json":
        salted = merge_patch(PLAIN_RECIPE, more_additions(dose("Gypsum", 400)) | {"notes": WORDS})
        plain = merge_patch(PLAIN_RECIPE, {"notes": WORDS})
        path, first, second = here / "brew.json", document(plain), document(salted)
        again: Callable[[Spell, bytes], bytes] = json_with
    else:
        notes = f"<NOTES>{html.escape(WORDS)}</NOTES>".encode()
        first, second = (
            item.replace(b"<NOTES></NOTES>", notes)
            for item in (xml_file(), xml_file(xml_misc("Gypsum", "0.4", "TRUE")))
        )
        path = here / "brew.xml"
        again = xml_with if kind == "xml" else cdata_with
    path.write_bytes(first)
    return path, again, second


def notes_in(path: Path) -> str:
    """Return the notes of the recipe in a file."""
    if path.suffix == ".json":
        text: str = json.loads(path.read_bytes())["beerjson"]["recipes"][0]["notes"]
        return text
    return ElementTree.fromstring(path.read_bytes()).findtext("RECIPE/NOTES") or ""


@pytest.mark.parametrize("kind", ["json", "xml", "cdata"])
@pytest.mark.parametrize("reexport", REEXPORTS)
def test_a_saved_block_is_known_renewed_and_taken_out(
    run: Run, here: Path, kind: str, reexport: str
) -> None:
    path, again, _ = written(here, kind)
    assert run("annotate", "--in-place", path.name).code == 0
    block = notes_in(path)[len(WORDS) :].strip()
    path.write_bytes(again(REEXPORTS[reexport], path.read_bytes()))

    # Its words are what they were, and so they are not out of date.
    checked = run("annotate", "--check", "--all", path.name)
    assert checked.code == 0, checked.text + checked.err

    # It is laid out as it was, once; the words of the brewer are where they were.
    renewed = run("annotate", "--in-place", path.name)
    assert renewed.code == 0, renewed.err
    text = notes_in(path)
    assert text.count(FIRST_LINE) == 1
    assert text.replace("\r\n", "\n").endswith((block, block + "</p>"))
    assert text.index("rack") < text.index(FIRST_LINE)
    assert "unchanged" in run("annotate", "--in-place", path.name).text

    assert run("annotate", "--in-place", "--remove", path.name).code == 0
    left = notes_in(path)
    assert "recipe-tools" not in left and "rack" in left


@pytest.mark.parametrize("kind", ["json", "xml", "cdata"])
@pytest.mark.parametrize("reexport", REEXPORTS)
def test_a_saved_block_with_other_words_is_no_longer_ours(
    run: Run, here: Path, kind: str, reexport: str
) -> None:
    path, again, _ = written(here, kind)
    run("annotate", "--in-place", path.name)

    def change(notes: str) -> str:
        return REEXPORTS[reexport](notes.replace("Mash pH", "My mash pH"))

    path.write_bytes(again(change, path.read_bytes()))
    before = path.read_bytes()
    for mode in ("--in-place", "--check"):
        result = run("annotate", mode, path.name)
        assert result.code == 3
        assert "changed since it was written" in result.err
    assert path.read_bytes() == before


TEXTS = ("Brewed again in May.", "Too dry for me.\n\nMore oats?", "--- my own line ---")


@pytest.mark.parametrize("kind", ["json", "xml", "cdata"])
@pytest.mark.parametrize("above", ["", *TEXTS])
@pytest.mark.parametrize("below", ["", *TEXTS])
def test_text_above_and_below_never_makes_a_block_out_of_date(
    run: Run, here: Path, kind: str, above: str, below: str
) -> None:
    path, again, second = written(here, kind)
    run("annotate", "--in-place", path.name)
    path.write_bytes(again(lambda notes: f"{above}\n{notes}\n{below}", path.read_bytes()))
    written_into = notes_in(path)
    assert run("annotate", "--check", "--all", path.name).code == 0
    assert "unchanged" in run("annotate", "--in-place", path.name).text
    assert notes_in(path) == written_into

    # A block that is out of date is renewed where it stands, between what is above and below.
    run("annotate", "--in-place", "--remove", path.name)
    bare = notes_in(path)
    path.write_bytes(again(lambda notes: written_into, second))
    assert run("annotate", "--check", path.name).code == 1
    assert run("annotate", "--in-place", path.name).code == 0
    text = notes_in(path)
    assert text.strip().startswith(above or WORDS)
    assert text.endswith(below) and text != written_into
    run("annotate", "--in-place", "--remove", path.name)
    assert notes_in(path) == bare
