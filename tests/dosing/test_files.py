"""Every file of the tests and examples, faulty ones too, gets a plan or a reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from recipe_tools import formats
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import propose
from recipe_tools.limits import Limits
from recipe_tools.recipe import SourceFile
from recipe_tools.reports import dose_text

_ROOT = Path(__file__).resolve().parents[2]
_FOLDERS = (
    _ROOT / "tests" / "files" / "xml",
    _ROOT / "tests" / "files" / "json",
    _ROOT / "examples",
)
_FILES = sorted(
    path
    for folder in _FOLDERS
    for path in folder.rglob("*")
    if path.suffix in (".xml", ".json") and path.is_file()
)
_OPTIONS = Options(
    chlorine_mg_l=0.5,
    shelf=tuple(
        ShelfItem(name)
        for name in (
            "gypsum",
            "calcium_chloride_dihydrate",
            "lactic_acid",
            "baking_soda",
            "acidulated_malt",
            "pure_water",
            "campden_tablet_potassium",
        )
    ),
)


@pytest.mark.parametrize("path", _FILES, ids=lambda path: path.name)
def test_a_file_gets_a_plan_or_a_reason(path: Path) -> None:
    result = formats.read(SourceFile(path.name, path.read_bytes()), Limits())
    for recipe in result.recipes[:3]:
        proposal = propose(recipe, _OPTIONS)
        assert proposal.feasible or proposal.reasons
        assert dose_text.render([proposal], path.name).endswith("\n")
