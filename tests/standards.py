"""Finds the folder with the published standards, which the project does not ship.

The tests compare with what lies there.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parent.parent


def standards_path() -> Path | None:
    """Return the folder named by RECIPE_TOOLS_STANDARDS, else shared/standards beside the checkout.

    None where neither exists.
    """
    named = os.environ.get("RECIPE_TOOLS_STANDARDS")
    folder = Path(named) if named else REPOSITORY.parent / "shared" / "standards"
    return folder if folder.is_dir() else None


def require_standards(*parts: str) -> Path:
    """Return a path below the standards folder, or skip the test with the reason."""
    folder = standards_path()
    if folder is None:
        pytest.skip("no standards folder: set RECIPE_TOOLS_STANDARDS to compare with them")
    path = folder.joinpath(*parts)
    if not path.exists():
        pytest.skip(f"the standards folder has no {'/'.join(parts)}")
    return path
