"""From symbolic paths to lines and columns, or to spans of bytes; computed only when asked."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from recipe_tools.recipe import FormatName

if TYPE_CHECKING:
    from recipe_tools.formats.regions import Region, Written


def locate(data: bytes, format_name: FormatName, pointers: Collection[str]) -> dict[str, Region]:
    """Return the region of each symbolic path that exists in the file (others are left out)."""
    if format_name == "beerxml":
        from recipe_tools.formats import xml_positions

        return xml_positions.locate(data, pointers)
    from recipe_tools.formats import json_positions

    return json_positions.locate(data, pointers)


def written(data: bytes, format_name: FormatName, pointers: Collection[str]) -> dict[str, Written]:
    """Return the text of each single value that exists and is not empty (others are left out)."""
    if format_name == "beerxml":
        from recipe_tools.formats import xml_positions

        return xml_positions.written(data, pointers)
    from recipe_tools.formats import json_positions

    return json_positions.written(data, pointers)


def spans(
    data: bytes, format_name: FormatName, pointers: Collection[str]
) -> dict[str, tuple[int, int]]:
    """Return for each symbolic path that exists the bytes of its value as (start, end)."""
    if format_name == "beerxml":
        from recipe_tools.formats import xml_positions

        return xml_positions.spans(data, pointers)
    from recipe_tools.formats import json_positions

    return json_positions.spans(data, pointers)
