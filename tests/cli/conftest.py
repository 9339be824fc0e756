"""Runs the command line within the test process, in an empty folder of its own."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from recipe_tools import cli
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_file,
    xml_misc,
)

FAULTY_PATCH = more_additions(dose("Gypsum (calcium sulfate dihydrate)", 4, "kg"))
"""Four kilograms of gypsum: an error whatever the thresholds are."""


@dataclass(frozen=True)
class Result:
    """What a command left behind."""

    code: int
    out: bytes
    err: str

    @property
    def text(self) -> str:
        return self.out.decode("utf-8")

    @property
    def json(self) -> Any:
        return json.loads(self.out)

    @property
    def rules(self) -> list[str]:
        return [item["rule"] for item in self.json["findings"]]


Run = Callable[..., Result]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The current folder of the command: empty, with no configuration above it."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture
def run(here: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> Run:
    """Run ``recipe-tools`` with some arguments."""

    def command(*arguments: str) -> Result:
        capfdbinary.readouterr()
        code = cli.run(list(arguments))
        out, err = capfdbinary.readouterr()
        return Result(code, out, err.decode("utf-8"))

    return command


@pytest.fixture
def clean(here: Path) -> Path:
    """A recipe without a warning."""
    path = here / "clean.json"
    path.write_bytes(document(PLAIN_RECIPE))
    return path


@pytest.fixture
def faulty(here: Path) -> Path:
    """A recipe with an error."""
    path = here / "faulty.json"
    path.write_bytes(document(merge_patch(PLAIN_RECIPE, FAULTY_PATCH)))
    return path


def xml_recipe(*records: str) -> bytes:
    """Return the plain recipe as BeerXML."""
    return xml_file(*records)


FAULTY_XML = xml_recipe(xml_misc("Gypsum (calcium sulfate dihydrate)", "4", "TRUE"))
