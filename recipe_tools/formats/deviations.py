"""Every way in which a file can depart from its standard, as one catalogue of declarations."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from recipe_tools.findings import Rule
from recipe_tools.formats.deviations_file import FILE_DEVIATIONS
from recipe_tools.formats.deviations_json import DEVIATIONS_JSON
from recipe_tools.formats.deviations_standard import STANDARD_DEVIATIONS

DEVIATIONS: Final[Mapping[str, Rule]] = MappingProxyType(
    {**FILE_DEVIATIONS, **STANDARD_DEVIATIONS, **DEVIATIONS_JSON}
)
"""All ``file/`` and ``standard/`` findings the readers emit, by id."""
