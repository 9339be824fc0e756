"""A first word that is no command: what was meant is named, and nothing else happens."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Run


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (("my.xml",), "recipe-tools check my.xml"),
        (("ales/Mild 2.JSON", "--verbose"), "recipe-tools check 'ales/Mild 2.JSON' --verbose"),
        (("folder",), "recipe-tools check folder"),
        (("recipes.zip",), "recipe-tools audit recipes.zip"),
        (("tap.toml",), "recipe-tools water tap.toml"),
        (("report.csv",), "recipe-tools water report.csv"),
        (("chekc", "my.xml"), "recipe-tools check my.xml"),
        (("Check",), "recipe-tools check"),
        (("doze", "my.xml"), "recipe-tools dose my.xml"),
        (("explian", "ions"), "recipe-tools explain ions"),
        (("mash-ph/above-range",), "recipe-tools explain mash-ph/above-range"),
        (("help",), "recipe-tools --help"),
        (("baseline", "wrte", "recipes"), "recipe-tools baseline write recipes"),
        (("cache", "cleer"), "recipe-tools cache clear"),
    ],
)
def test_what_was_meant_is_named(run: Run, here: Path, words: tuple[str, ...], meant: str) -> None:
    (here / "folder").mkdir()
    result = run(*words)
    assert (result.code, result.out) == (2, b"")
    assert f"Did you mean `{meant}`?" in result.err


@pytest.mark.parametrize("word", ["qqqqq", "", "-", "\x00", "a" * 5000, "‮xml", "\x1b[2J"])
def test_nothing_is_named_where_nothing_fits_and_nothing_moves_the_terminal(
    run: Run, word: str
) -> None:
    result = run(word)
    assert (result.code, result.out) == (2, b"")
    assert "Did you mean" not in result.err
    assert all(letter.isprintable() or letter == "\n" for letter in result.err)
