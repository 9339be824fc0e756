"""How mash pH and ions are spread over an archive."""

from __future__ import annotations

from array import array
from collections.abc import Mapping
from dataclasses import dataclass, field

from recipe_tools.archive.totals import Apart, Totals
from recipe_tools.judgement.ions import upper_limit
from recipe_tools.recipe import IONS

_PH_FROM, _PH_STEP, _PH_BINS = 4.7, 0.1, 16
_ION_BINS = 15
_ROUND_STEPS = (1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0)


@dataclass(frozen=True, slots=True)
class Histogram:
    """Values counted in bins of equal width.

    counts: of the bins from start upwards, each without its upper end. under, beyond: values below
    the first bin and from the end of the last one on.
    """

    start: float
    step: float
    counts: tuple[int, ...]
    under: int
    beyond: int

    @property
    def total(self) -> int:
        """Number of values."""
        return self.under + sum(self.counts) + self.beyond

    @property
    def end(self) -> float:
        """End of the last bin."""
        return self.start + self.step * len(self.counts)


@dataclass(frozen=True, slots=True)
class Distribution:
    """One quantity over all recipes that have it and are judged by it.

    quantity: ``mash_ph`` or an ion, mg/L. quartiles: lower, median, upper; None without a value.
    below, within, above: recipes by their window of the mash pH, or the range of their own style
    family. limit: level that is warned of, mg/L; over_limit: recipes above it. apart: the same bins
    for recipes that are not judged: beers exempt from it, and unknown water.
    """

    quantity: str
    count: int
    quartiles: tuple[float, float, float] | None
    histogram: Histogram
    below: int
    within: int
    above: int
    limit: float | None = None
    over_limit: int = 0
    apart: Mapping[Apart, Histogram] = field(default_factory=dict)

    def not_judged(self, apart: Apart) -> int:
        """Return the number of recipes that have the quantity and are counted apart."""
        return self.apart[apart].total if apart in self.apart else 0


def distributions(totals: Totals) -> list[Distribution]:
    """Return the distributions of mash pH and of each ion, in the order of `IONS`."""
    return [_mash_ph(totals), *(_ion(totals, ion) for ion in IONS)]


def _mash_ph(totals: Totals) -> Distribution:
    values = _sorted(totals, "ph")
    against = totals.counts("ph_against")
    bins = (_PH_FROM, _PH_STEP, _PH_BINS)
    return Distribution(
        "mash_ph",
        len(values),
        _quartiles(values),
        _histogram(values, *bins),
        against.get("below", 0),
        against.get("within", 0),
        against.get("above", 0),
        apart=_apart(totals, "ph", *bins),
    )


def _ion(totals: Totals, ion: str) -> Distribution:
    values = _sorted(totals, f"{ion}_mg_l")
    against = totals.counts(f"{ion}_against")
    limit = upper_limit(ion)
    top = max(limit or 0.0, values[int(len(values) * 0.98)] if values else 0.0, 10.0)
    step = next((step for step in _ROUND_STEPS if step * _ION_BINS >= top), _ROUND_STEPS[-1])
    return Distribution(
        ion,
        len(values),
        _quartiles(values),
        _histogram(values, 0.0, step, _ION_BINS),
        against.get("below", 0),
        against.get("within", 0),
        against.get("above", 0),
        limit,
        totals.counts(f"{ion}_over").get(True, 0),
        _apart(totals, f"{ion}_mg_l", 0.0, step, _ION_BINS),
    )


def _apart(
    totals: Totals, column: str, start: float, step: float, bins: int
) -> Mapping[Apart, Histogram]:
    kinds: tuple[Apart, ...] = ("exempt", "water unknown")
    return {kind: _histogram(_sorted(totals, column, kind), start, step, bins) for kind in kinds}


def _sorted(totals: Totals, column: str, apart: Apart | None = None) -> array[float]:
    # Eight bytes a value: the one thing here that grows with the archive, and only for a moment.
    return array("d", sorted(array("d", totals.values(column, apart))))


def _quartiles(values: array[float]) -> tuple[float, float, float] | None:
    if not values:
        return None
    last = len(values) - 1
    lower, middle, upper = (values[round(last * share)] for share in (0.25, 0.5, 0.75))
    return lower, middle, upper


def _histogram(values: array[float], start: float, step: float, bins: int) -> Histogram:
    counts = [0] * bins
    under = beyond = 0
    for value in values:
        # A little more than the value, so that 5.3 falls into the bin from 5.3 on.
        place = int((value - start) / step + 1e-9) if value >= start else -1
        if place < 0:
            under += 1
        elif place >= bins:
            beyond += 1
        else:
            counts[place] += 1
    return Histogram(start, step, tuple(counts), under, beyond)
