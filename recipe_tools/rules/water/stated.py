"""The waters of a brew day as somebody stated them: a report, or the records of the recipe."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Finding
from recipe_tools.recipe import Origin
from recipe_tools.rules.verdicts import report
from recipe_tools.water_report import WaterReport


class StatedWater(NamedTuple):
    """One water. record: a WATER record of the recipe, not a report of its own."""

    name: str
    report: WaterReport
    origin: Origin
    record: bool

    def at(self, field: str) -> str:
        """Return the place of a figure; that of the recipe's name for a report."""
        return self.origin.at(field if self.record else "name")


def stated_waters(day: BrewDay, *, records: bool = True) -> Iterator[StatedWater]:
    """Yield the report the source is taken from, else each record that is taken as source.

    records: False for what no record can state.
    """
    source = day.source
    if source.report is not None:
        yield StatedWater(source.name, source.report, day.recipe.origin, record=False)
        return
    if records:
        for item, seen in zip(source.records, source.record_reports, strict=True):
            yield StatedWater(item.name, seen, item.origin, record=True)


def doubted(day: BrewDay, rule: str, *, records: bool = True) -> Iterator[Finding]:
    """Yield a finding for each doubt the reader of a water had that belongs to a rule."""
    for water in stated_waters(day, records=records):
        for doubt in water.report.doubts:
            if doubt.rule == rule:
                place = water.origin.path if water.record else water.at("name")
                yield report(f"'{water.name}': {doubt.text}", place, value=doubt.id)
