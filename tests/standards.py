"""Finds the folder with the published standards, which the project does not ship.

The tests compare with what lies there. Where the folder is expected, because RECIPE_TOOLS_STANDARDS
names it or because there is a folder ``shared`` beside the checkout, a test that misses something
of it fails; elsewhere it is skipped and says so.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import NoReturn

import pytest

REPOSITORY = Path(__file__).resolve().parent.parent
SHARED = REPOSITORY.parent / "shared"


def standards_path() -> Path | None:
    """Return the folder named by RECIPE_TOOLS_STANDARDS, else shared/standards beside the checkout.

    None where neither is expected. Fails the test where it is and is not there.
    """
    named = os.environ.get("RECIPE_TOOLS_STANDARDS")
    folder = Path(named) if named else SHARED / "standards"
    if folder.is_dir():
        return folder
    if named or SHARED.is_dir():
        _missed(folder)
    return None


def require_standards(*parts: str) -> Path:
    """Return a path below the standards folder, or skip or fail the test with the reason."""
    folder = standards_path()
    if folder is None:
        pytest.skip("no standards folder: set RECIPE_TOOLS_STANDARDS to compare with them")
    path = folder.joinpath(*parts)
    if not path.exists():
        _missed(path)
    return path


def _missed(path: Path) -> NoReturn:
    pytest.fail(f"the published standards are expected here, and {path} is not there")
