"""A water report: read from TOML in any usual unit, balanced, with its doubts."""

from __future__ import annotations

from recipe_tools.water_report.records import (
    KEYS,
    Doubt,
    ReportError,
    WaterReport,
    read_report,
    report_from_bytes,
    report_from_table,
)

__all__ = [
    "KEYS",
    "Doubt",
    "ReportError",
    "WaterReport",
    "read_report",
    "report_from_bytes",
    "report_from_table",
]
