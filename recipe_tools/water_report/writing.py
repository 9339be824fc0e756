"""A water report as the TOML file that `recipe-tools water` and `--water` read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from recipe_tools.toml_in import quoted
from recipe_tools.water_report.records import KEYS


def as_toml(rows: Mapping[str, Any], heading: str) -> bytes:
    """Return the file for rows under our names, in their usual order.

    rows: texts, true or false, or tables of texts (``min``, ``mean``, ``max``, ``unit``). heading:
    one line that says where they come from.
    """
    lines = [f"# {' '.join(heading.split())}", ""]
    lines += [f"{key} = {_value(rows[key])}" for key in KEYS if key in rows]
    return ("\n".join(lines) + "\n").encode("utf-8")


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key} = {_value(inner)}' for key, inner in value.items())} }}"
    if isinstance(value, bool):
        return "true" if value else "false"
    return quoted(str(value))
