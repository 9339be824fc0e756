"""A water report, as a brewer copies it from the paper of the water works or a laboratory.

The file is TOML with one key per row of the paper; each value keeps the unit and the basis it is
printed with. What cannot be told from the paper is carried as a band and said as a doubt.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from recipe_tools.chemistry.carbonate import END_POINT_PH
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.water_report.balance import AlkalinityColumn, Kind

ION_KEYS = (
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "ammonium",
    "iron",
    "manganese",
    "copper",
    "zinc",
    "lead",
    "bicarbonate",
    "carbonate",
    "chloride",
    "sulfate",
    "nitrate",
    "nitrite",
    "fluoride",
    "phosphate",
    "silica",
)
"""Dissolved matter a report may state, in the order in which it is shown."""
TEXT_KEYS = ("name", "source", "date", "kind")
OTHER_KEYS = (
    "alkalinity",
    "carbonate_hardness",
    "total_hardness",
    "end_point_ph",
    "ph",
    "temperature",
    "conductivity",
    "conductivity_temperature",
    "total_dissolved_solids",
    "chlorine",
    "chloramine",
)
KEYS = (*TEXT_KEYS, *ION_KEYS, *OTHER_KEYS)


class ReportError(ValueError):
    """A water report that cannot be used. Names the key and what would be right, never a value."""


class Doubt(NamedTuple):
    """Something a report leaves open or contradicts itself in.

    id: short name. rule: the rule that makes a finding of it; empty for what is only supposed.
    """

    id: str
    text: str
    rule: str = ""


class WaterReport(NamedTuple):
    """Water as reported, in fixed units.

    ions_mg_l: mg/L by name (see `ION_KEYS`) of what the report states or settles, as wide as the
    report gives them; what it does not state has no key.
    alkalinity_meq_l: titrated to end_point_ph. alkalinity_column: where it was printed; ``none``
    where it was not and the band is a guess. alkalinity_stated: False for a guess. with_basis:
    columns whose basis the report names. ph, temperature_c: None where not stated.
    conductivity_us_cm: at 25 °C. hardness_meq_l: total hardness as stated. chlorine_mg_l: what has
    to be removed, as Cl2, of free chlorine, or of chloramine where chloramine is True: the stronger
    end of a span, 0 below what the laboratory can tell. chlorine_band_mg_l: what may be there.
    """

    ions_mg_l: Mapping[str, Estimate]
    alkalinity_meq_l: Estimate
    ph: Estimate | None = None
    end_point_ph: float = END_POINT_PH
    name: str = ""
    source: str = ""
    date: str = ""
    kind: Kind = "sample"
    alkalinity_column: AlkalinityColumn = "alkalinity"
    with_basis: frozenset[str] = frozenset()
    temperature_c: float | None = None
    conductivity_us_cm: float | None = None
    total_dissolved_solids_mg_l: float | None = None
    hardness_meq_l: Estimate | None = None
    chlorine_mg_l: float | None = None
    chlorine_band_mg_l: Estimate | None = None
    chloramine: bool | None = None
    doubts: tuple[Doubt, ...] = ()

    @property
    def alkalinity_stated(self) -> bool:
        """Whether the report says anything about alkalinity, bicarbonate or carbonate."""
        return self.alkalinity_column != "none"

    @property
    def supposed(self) -> tuple[Doubt, ...]:
        """What had to be supposed, without what rules make findings of."""
        return tuple(doubt for doubt in self.doubts if not doubt.rule)


def read_report(path: Path) -> WaterReport:
    """Read a water report from a TOML file. Raises ReportError (without the file name)."""
    from recipe_tools.toml_in import TomlError, read_regular_file

    try:
        data = read_regular_file(path)
    except TomlError as error:
        raise ReportError(str(error)) from None
    return report_from_bytes(data)


def report_from_bytes(data: bytes) -> WaterReport:
    """Return the report in the bytes of a TOML file.

    Raises ReportError, which says what a report looks like where the bytes are something else.
    """
    from recipe_tools.toml_in import TomlError, parse_toml
    from recipe_tools.water_report.not_toml import what_it_is

    try:
        table = parse_toml(data)
    except TomlError as error:
        raise ReportError(what_it_is(data, str(error))) from None
    return report_from_table(table)


def report_from_table(table: Mapping[str, Any]) -> WaterReport:
    """Return the report a table of keys and values stands for (see `KEYS`). Raises ReportError."""
    from recipe_tools.water_report.reading import report

    return report(table)


OTHER_NAMES: Mapping[str, str] = MappingProxyType(
    {"silicon": "silica", "town": "name", "type": "kind", "monochloramine": "chloramine"}
)
"""Keys people try that are not the same thing, for the hint at the right one."""
