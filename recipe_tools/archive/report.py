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
    None where nothing was compared with. roots: the folders given, as reports show them. title: of
    a page, empty for the usual one.
    """

    totals: Totals
    findings: tuple[Finding, ...]
    rules: tuple[RuleTotal, ...]
    distributions: tuple[Distribution, ...]
    alike: tuple[Alike, ...]
    comparison: Comparison | None
    roots: tuple[str, ...] = ()
    title: str = ""

    def members(self, group: Alike, limit: int | None = None) -> list[RecipeLine]:
        """Return the recipes of a group, at most ``limit`` of them."""
        return recipes_of(self.totals, group.members[:limit])

    @property
    def troubled(self) -> int:
        """Number of recipes with an error or a warning that makes them bad ones."""
        return self.totals.count("troubled")

    @property
    def water_unknown(self) -> int:
        """Number of recipes whose water nobody knows."""
        return self.totals.count("water unknown")

    def counted_apart(self) -> str:
        """Return what is said of recipes with unknown water, empty where there are none."""
        unknown = self.water_unknown
        if not unknown:
            return ""
        other = self.totals.count("troubled, water unknown")
        more = f"; {other} of them to look at for another reason" if other else ""
        return f"{unknown} with unknown water, of which only part could be checked{more}"

    def paths(self) -> Iterator[str]:
        """Yield the paths of all listed files."""
        return self.totals.paths()


def archive_of(
    totals: Totals,
    findings: tuple[Finding, ...],
    *,
    compared: bool,
    roots: tuple[str, ...] = (),
    title: str = "",
) -> Archive:
    """Return the result of a run that has come to its end.

    compared: an earlier report was read. roots, title: as in `Archive`.
    """
    return Archive(
        totals,
        findings,
        tuple(totals.rules()),
        tuple(distributions(totals)),
        tuple(alike(totals)),
        compare(totals) if compared else None,
        roots,
        title,
    )
