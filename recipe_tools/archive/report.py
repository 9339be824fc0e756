"""Everything the reports of an archive show, settled once: sums, spreads, groups, changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from recipe_tools.archive.alike import Alike, alike
from recipe_tools.archive.compare import Comparison, compare
from recipe_tools.archive.distributions import Distribution, distributions
from recipe_tools.archive.totals import RecipeLine, RuleTotal, Totals, recipes_of
from recipe_tools.findings import Finding


@dataclass(frozen=True, slots=True)
class Archive:
    """The result of an audit. totals: open, for whatever a report lists one by one.

    findings: of the whole run. alike: groups of recipes that are the same or nearly. comparison:
    None where nothing was compared with.
    """

    totals: Totals
    findings: tuple[Finding, ...]
    rules: tuple[RuleTotal, ...]
    distributions: tuple[Distribution, ...]
    alike: tuple[Alike, ...]
    comparison: Comparison | None

    def members(self, group: Alike, limit: int | None = None) -> list[RecipeLine]:
        """Return the recipes of a group, at most ``limit`` of them."""
        return recipes_of(self.totals, group.members[:limit])

    @property
    def troubled(self) -> int:
        """Number of recipes with an error or a warning."""
        return sum(item.troubled for item in self.totals.groups("family"))

    def paths(self) -> Iterator[str]:
        """Yield the paths of all listed files."""
        return self.totals.paths()


def archive_of(totals: Totals, findings: tuple[Finding, ...], *, compared: bool) -> Archive:
    """Return the result of a run that has come to its end. compared: an earlier report was read."""
    return Archive(
        totals,
        findings,
        tuple(totals.rules()),
        tuple(distributions(totals)),
        tuple(alike(totals)),
        compare(totals) if compared else None,
    )
