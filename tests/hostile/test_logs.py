"""What the commands print may stand in the log of a build service, which obeys some lines of it.

A runner takes blanks off the front of a line and obeys it where ``::`` follows ("Workflow commands
for GitHub Actions", from memory: ``::stop-commands::``, ``::add-mask::`` ...). The older form
``##[command]`` and that of another service, ``##vso[command]``, it finds anywhere in a line.
"""

from __future__ import annotations

import io
import os
import re
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools import cli
from recipe_tools.annotate.annotating import annotate_bytes
from recipe_tools.annotate.differences import unified
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.reports import ARCHIVE_REPORTS, REPORTS
from recipe_tools.rules.examples import xml_file
from tests.hostile.test_injection import poisoned_config, poisoned_json, poisoned_xml

OBEYED_LINE = re.compile(r"^\s*::", re.MULTILINE)
OBEYED_ANYWHERE = re.compile(r"##\w*\[")
WORDS = (
    "::stop-commands::x",
    "::error file=a.xml::owned",
    "::",
    ":::",
    "##[stop-commands]x",
    "##[error]owned",
    "###[group]",
    "##vso[task.complete]",
    "calcium",
    "gypsum",
    "a",
    "#",
    "[x]",
)
GAPS = (" ", "  ", "\u00a0", "\u3000", "\n", "\t", "\r\n", "")
TEXTS = st.lists(st.tuples(st.sampled_from(GAPS), st.sampled_from(WORDS)), min_size=1, max_size=12)
BY_FORMAT = [name for name in REPORTS if name != "github"]
COMMANDS = (
    *(("check", ".", "--confidence", "possible", "--format", name) for name in BY_FORMAT),
    ("check", ".", "--verbose", "--color", "always"),
    ("check", ".", "--baseline", "accepted.json"),
    *(("audit", ".", "--no-cache", "--verbose", "--format", name) for name in ARCHIVE_REPORTS),
    *(
        ("dose", file, "--format", name)
        for file in ("a.json", "a.xml")
        for name in ("text", "json")
    ),
    *(("dose", "a.json", "--format", name) for name in ("markdown", "html")),
    ("annotate", ".", "--diff"),
    ("annotate", ".", "--check"),
    ("water", "tap.toml"),
    ("check", "a.json", "--water", "tap.toml"),
)
"""Everything but the reports whose lines are meant as commands."""


def printed(*arguments: str) -> tuple[str, str]:
    """Run a command; return what it wrote to standard output and standard error."""
    out, err = io.BytesIO(), io.BytesIO()
    with (
        redirect_stdout(io.TextIOWrapper(out, "utf-8", newline="", write_through=True)),
        redirect_stderr(io.TextIOWrapper(err, "utf-8", newline="", write_through=True)),
    ):
        assert cli.run(list(arguments)) in (0, 1, 2, 3)
        return out.getvalue().decode(), err.getvalue().decode()


@contextmanager
def folder_of(text: str) -> Iterator[None]:
    """Stand in a folder whose recipes, configuration and water report hold the text anywhere."""
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as name:
        os.chdir(name)
        try:
            Path("a.json").write_bytes(poisoned_json(text))
            Path("a.xml").write_bytes(poisoned_xml(text))
            head = re.sub("[/\0]", "_", text)[:60]
            Path(f"{head}.xml").write_bytes(poisoned_xml(text))
            Path("recipe-tools.toml").write_text(poisoned_config(text), encoding="utf-8")
            quoted = poisoned_config(text).partition("name = ")[2].partition(", source")[0]
            Path("tap.toml").write_text(
                f"name = {quoted}\nsource = {quoted}\ncalcium = 60\nalkalinity = 2\n", "utf-8"
            )
            printed("baseline", "write", "a.json", "--baseline", "accepted.json")
            yield
        finally:
            os.chdir(before)


def assert_unobeyed(text: str) -> None:
    assert [line for line in text.splitlines() if OBEYED_LINE.match(line)] == []
    assert OBEYED_ANYWHERE.search(text) is None


@settings(max_examples=5, deadline=None)
@given(TEXTS.map(lambda words: "".join(gap + word for gap, word in words)))
def test_no_line_that_is_printed_is_obeyed(text: str) -> None:
    with folder_of(text):
        for arguments in COMMANDS:
            for stream in printed(*arguments):
                assert_unobeyed(stream)


@pytest.mark.parametrize("word", ["::stop-commands::x", "##[stop-commands]x"])
def test_nor_where_every_line_is_wrapped_at_a_command(word: str) -> None:
    with folder_of(" ".join([word] * 12)):
        shown = [stream for arguments in COMMANDS for stream in printed(*arguments)]
        written = printed("check", ".", "--output", "text=report.txt")
        assert_unobeyed("\n".join((*shown, *written, Path("report.txt").read_text("utf-8"))))
        # What a brewer reads still says what the file holds.
        assert "stop-commands" in shown[0]


def xml_notes() -> bytes:
    notes = "First line\n  ::stop-commands::x\n::error::owned\n\u00a0::add-mask::y\nLast line"
    plain = xml_file().replace(b"<NOTES></NOTES>", f"<NOTES>{notes}</NOTES>".encode())
    assert notes.encode() in plain
    return plain


def xml_notes_between() -> bytes:
    """Commands between two changes that stand so near each other that one hunk holds them."""
    two = xml_notes().replace(
        b"</RECIPE>", b"</RECIPE><RECIPE><NOTES>::a::\n::b::</NOTES></RECIPE>"
    )
    return two.replace(b"</NOTES>", b"\n::x::\n::y::\n</NOTES>")


@pytest.mark.parametrize("make", [xml_notes, xml_notes_between])
def test_a_difference_is_unobeyed_and_still_one_to_apply(
    tmp_path: Path, make: Callable[[], bytes]
) -> None:
    # The program patch (POSIX.1-2017) and Git read the unified format as the outside check. No line
    # of JSON can begin with two colons.
    name, old = "a.xml", make()
    result = annotate_bytes(old, name, Options(), FileRequest())
    assert result.data != old
    for program in (["patch", "-p1", "--fuzz=0", "--silent"], ["git", "apply", "-"]):
        (tmp_path / name).write_bytes(old)
        for before, after in ((old, result.data), (result.data, old)):
            difference = unified(before, after, "beerxml", name, result.recipes)
            assert_unobeyed(difference)
            subprocess.run(program, input=difference.encode(), cwd=tmp_path, check=True)
            assert (tmp_path / name).read_bytes() == after
