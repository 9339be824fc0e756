"""The diff is one that other programs can apply."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from recipe_tools.annotate.annotating import annotate_bytes
from recipe_tools.annotate.differences import unified
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.recipe import FormatName
from recipe_tools.rules.examples import PLAIN_RECIPE, document, xml_file

SINGLE = document(PLAIN_RECIPE)


def several(count: int) -> bytes:
    text = xml_file().decode()
    start, end = text.index("  <RECIPE>"), text.index("</RECIPES>")
    return (text[:start] + text[start:end] * count + text[end:]).encode()


@pytest.mark.skipif(shutil.which("patch") is None, reason="the program patch is not installed")
@pytest.mark.parametrize(
    ("name", "data", "format_name"),
    [
        ("one.json", SINGLE, "beerjson"),
        ("short.json", b'{"beerjson":{"version":1,"recipes":[{"name":"x"}]}}', "beerjson"),
        ("one.xml", xml_file(), "beerxml"),
        ("many.xml", several(4), "beerxml"),
        ("no-end.xml", several(2).rstrip(), "beerxml"),
        ("accents.xml", xml_file().replace(b"Millrace", "Möwenbräu".encode()), "beerxml"),
    ],
)
def test_patch_makes_the_same_file_of_it(
    tmp_path: Path, name: str, data: bytes, format_name: FormatName
) -> None:
    # The program patch (POSIX.1-2017) reads the unified format as the outside check.
    result = annotate_bytes(data, name, Options(), FileRequest())
    new = result.data
    assert new != data
    (tmp_path / name).write_bytes(data)
    for old_state, new_state in ((data, new), (new, data)):
        difference = unified(old_state, new_state, format_name, name, result.recipes)
        subprocess.run(
            ["patch", "-p1", "--fuzz=0", "--silent"],
            input=difference.encode(),
            cwd=tmp_path,
            check=True,
        )
        assert (tmp_path / name).read_bytes() == new_state
    assert sorted(path.name for path in tmp_path.iterdir()) == [name]


def test_equal_files_differ_in_nothing() -> None:
    assert unified(SINGLE, SINGLE, "beerjson", "one.json", ()) == ""


def test_what_could_move_a_terminal_is_shown_as_an_escape() -> None:
    old = xml_file().replace(b"Millrace", "Mill\u202erace".encode())
    new = annotate_bytes(old, "one.xml", Options(), FileRequest()).data
    shown = unified(b"<RECIPES/>", new, "beerxml", "a\x1b[2J.xml", ())
    assert "\u202e" not in shown
    assert "\x1b" not in shown
    assert "Mill\\u202erace" in shown
