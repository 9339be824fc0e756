"""The test files of this folder's tests, and what a reader makes of them."""

from __future__ import annotations

from pathlib import Path

from recipe_tools.formats import beerxml, positions
from recipe_tools.formats.result import ReadResult
from recipe_tools.recipe import Recipe

FOLDER = Path(__file__).resolve().parents[2] / "files" / "xml"


def content(name: str) -> bytes:
    """Return the bytes of a test file."""
    return (FOLDER / f"{name}.xml").read_bytes()


def result(name: str) -> ReadResult:
    """Return what the reader makes of a test file."""
    return beerxml.read(content(name))


def recipe(name: str) -> Recipe:
    """Return the first recipe of a test file."""
    return result(name).recipes[0]


def lines(name: str) -> list[tuple[str, int | None]]:
    """Return rule and line of each finding in a test file."""
    read = result(name)
    pointers = [item.pointer for item in read.findings]
    places = positions.locate(content(name), "beerxml", pointers)
    return [
        (item.rule, item.line if item.line is not None else places[item.pointer].line)
        for item in read.findings
    ]


def line_of(name: str, text: str, encoding: str = "utf-8") -> int:
    """Return the line on which a text first stands in a test file, counted by its line feeds."""
    whole = content(name).decode(encoding)
    return whole.count("\n", 0, whole.index(text)) + 1
