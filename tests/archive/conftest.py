"""An archive of a few recipes, and the command that audits it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from recipe_tools.archive.cache import FOLDER_VARIABLE
from recipe_tools.rules.examples import PLAIN_RECIPE, document, dose, merge_patch, more_additions
from tests.cli.conftest import Run, here, run, xml_recipe

__all__ = ["here", "run"]

PLAIN = document(PLAIN_RECIPE)
FAULTY = document(
    merge_patch(PLAIN_RECIPE, more_additions(dose("Gypsum (calcium sulfate dihydrate)", 4, "kg")))
)
XML = xml_recipe()

Audit = Callable[..., Run]


@pytest.fixture(autouse=True)
def cache_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep the cache of these tests in a folder of their own."""
    folder = tmp_path / "cache"
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder))
    return folder


@pytest.fixture
def club(here: Path) -> Path:
    """A small archive: recipes of both formats, one faulty, one torn, other files."""
    folder = here / "club"
    write(
        folder,
        {
            "ales/bitter.json": PLAIN,
            "ales/mild.xml": XML,
            "ales/faulty.json": FAULTY,
            "ales.json": renamed("Ferry Wheat"),
            "old/torn.xml": b"<RECIPES><RECIPE><NAME>Torn</NAME>",
            "old/scale.json": b'{"scale": 1}',
            "photo.jpg": b"\xff\xd8\xff",
        },
    )
    return folder


def write(folder: Path, files: dict[str, bytes]) -> None:
    """Write files into a folder."""
    for name, data in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)


def renamed(name: str, **changes: object) -> bytes:
    """Return the plain recipe under another name."""
    return document(merge_patch(PLAIN_RECIPE, {"name": name, **changes}))
