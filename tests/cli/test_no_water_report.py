"""Files given as a water report that are none: one line says what is expected, exit code 2."""

from __future__ import annotations

from pathlib import Path

import pytest

from recipe_tools.rules.examples import xml_file
from tests.cli.conftest import Run

SECRET = "hunter2"
WRONG = {
    "paper.pdf": (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3 hunter2", "is a PDF"),
    "paper.xlsx": (b"PK\x03\x04hunter2", "is a spreadsheet"),
    "paper.html": (b"<html>hunter2</html>", "is a web page"),
    "paper.json": (b'{"calcium": "hunter2"}', "is JSON"),
    "paper.csv": (b"Parameter;Wert\nCalcium;62\nhunter2;3\n", "is a table with separators"),
    "commas.csv": (b"parameter,value\ncalcium,62\nhunter2,3\n", "is a table with separators"),
    "words.txt": (b"Calcium 62 mg/l\nhunter2\n", "line 1, column 9): a row is written with ="),
    "unit.toml": (b"calcium = 62 mg/L # hunter2\n", "a value with a unit"),
    "comma.toml": (b"ph = 7\ncalcium = 62,5 # hunter2\n", "line 2, column 13): a value with"),
    "umlaut.toml": ('Säurekapazität = "hunter2"\n'.encode(), "accents stands in quotes"),
    "blank.toml": (b'total hardness = "hunter2"\n', "stands in quotes"),
    "colon.toml": (b"calcium: hunter2\n", "a row is written with ="),
    "missing.toml": (b"calcium =\n# hunter2\n", "its value is missing"),
    "open.toml": (b'calcium = "hunter2\n', "its quotes do not close"),
}


@pytest.mark.parametrize("name", WRONG)
@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "clean.json", "--water"],
        ["check", "clean.xml", "--water"],
        ["dose", "clean.xml", "--water"],
        ["audit", ".", "--water"],
        ["water"],
    ],
    ids=" ".join,
)
@pytest.mark.usefixtures("clean")
def test_it_says_what_is_expected_and_how_to_get_a_form(
    here: Path, run: Run, arguments: list[str], name: str
) -> None:
    (here / "clean.xml").write_bytes(xml_file())
    if arguments == ["water"] and name.endswith((".csv", ".txt")):
        pytest.skip("`water` itself reads a copied table: tests/cli/test_water_file.py")
    (here / name).write_bytes(WRONG[name][0])
    result = run(*arguments, name)
    assert result.code == 2
    assert result.out == b""
    (line,) = [text for text in result.err.splitlines() if name in text]
    assert WRONG[name][1] in line
    assert "`recipe-tools water --example` prints one to fill in" in line
    assert SECRET not in result.err
    assert "Traceback" not in result.err


@pytest.mark.parametrize(
    ("name", "said"), [("paper.toml", "is a PDF"), ("paper.pdf", "not the name of a .toml file")]
)
def test_a_report_of_the_configuration_says_so_too(
    here: Path, run: Run, clean: Path, name: str, said: str
) -> None:
    (here / name).write_bytes(WRONG["paper.pdf"][0])
    (here / "recipe-tools.toml").write_text(f'[water]\nreport = "{name}"\n')
    result = run("check", clean.name)
    assert result.code == 2
    assert said in result.err
    assert "`recipe-tools water --example` prints one" in result.err
