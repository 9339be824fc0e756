"""Finds the JSON Schemas this project publishes, in a checkout and in an installed package."""

from __future__ import annotations

import functools
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_FOLDERS = (_PACKAGE / "schemas", _PACKAGE.parent / "schemas")


def schema_path(name: str) -> Path:
    """Return the path of a schema, named relative to the schemas folder with forward slashes.

    In a wheel the folder lies inside the package, in a checkout beside it. Raises FileNotFoundError
    for a name that leads to no file in that folder.
    """
    for folder in _FOLDERS:
        path = folder.joinpath(name).resolve()
        if path.is_relative_to(folder) and path.is_file():
            return path
    raise FileNotFoundError(f"no schema is named {name}")


@functools.cache
def schema_text(name: str) -> str:
    """Return the text of a schema (see `schema_path`)."""
    return schema_path(name).read_text(encoding="utf-8")
