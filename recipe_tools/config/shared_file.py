"""The table of this program in a file that other tools share, pyproject.toml."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from recipe_tools.config.options import SHARED_NAME
from recipe_tools.toml_in import TomlError, read_regular_file, read_toml

TOOL = "recipe-tools"
PREFIX = f"tool.{TOOL}."


def concerns_us(path: Path) -> bool:
    """Tell whether a pyproject.toml holds a table for this program.

    One that speaks of it and cannot be read does too: reading it will say what is wrong.
    """
    try:
        status = path.stat()
    except OSError:
        return False
    return _concerns_us(path, status.st_mtime_ns, status.st_size)


@lru_cache(maxsize=64)
def _concerns_us(path: Path, changed: int, size: int) -> bool:
    try:
        if TOOL.encode() not in read_regular_file(path):
            return False
        return _ours(read_toml(path)) is not None
    except TomlError:
        return True


def read_config(path: Path) -> Mapping[str, Any]:
    """Return what a configuration file holds for this program. Raises TomlError."""
    content = read_toml(path)
    if path.name != SHARED_NAME:
        return content
    table = _ours(content)
    if table is None:
        raise TomlError(f"has no table [tool.{TOOL}]")
    if not isinstance(table, Mapping):
        raise TomlError(f"tool.{TOOL} is not a table")
    return table


def _ours(content: Mapping[str, Any]) -> Any:
    tool = content.get("tool")
    return tool.get(TOOL) if isinstance(tool, Mapping) else None
