"""What measured mashes say of the malts, the water and the meter of one brewer.

Linear Gaussian model. Residual of a reading, all in pH:

    reading - predicted = o + sum s_i z_i + e

z_i: open inputs of the prediction, a standard normal each before any reading, s_i their
sensitivities (`mash_ph.Driver`). Shared between mashes: pH and buffer of the malts, crush, effect
of calcium, dilution, and what one water report leaves open; all others belong to one mash. o: meter
and habits of the brewer, e: the day. With readings o and e take the place of the driver ``model``,
which holds a share for meter, sampling and time. Conditioned one mash after the other (Kalman
1960): gain k = S h / (h' S h + R), mean += k (residual - h' mean), S -= k h' S.

Standard deviations of o (0.12) and e (0.07): residuals of seven independent authors of brew days
scatter by 0.15 to 0.18 between authors and by about 0.08 within one (derived_default).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from math import sqrt
from typing import Any, NamedTuple

OFFSET_SD = 0.12
DAY_SD = 0.07
REPEAT_SD = 0.02
"""Of the meter, between two readings of one mash (derived_default)."""
OUTLIER_FROM, OUTLIER_COUNTED_AS = 4.0, 3.0
"""A reading further off than four standard deviations counts as if it were three off: one slip must
not bend the rest (derived_default)."""
HALF_WIDTH_SD = 1.96

OFFSET = "offset"
_DAY = "day"
_REPLACED = "model"
_SHARED = frozenset({"crush", "calcium_magnesium", "calcium_above_linear", "dilution"})
_OF_MALTS = ("malt_ph:", "malt_buffer:")
_OF_WATER = ("alkalinity@", "water_ph@")
LOT_MARK = "@"
"""Between a driver and the lot or the water report it belongs to."""

Sensitivities = Mapping[str, float]


class Belief:
    """Mean and covariance of open inputs, in standard deviations they had before any reading."""

    __slots__ = ("_covariance", "_mean", "_places")

    def __init__(self) -> None:
        self._places: dict[str, int] = {}
        self._mean: list[float] = []
        self._covariance: list[list[float]] = []

    def expect(self, sensitivities: Sensitivities) -> tuple[float, float]:
        """Return mean and variance of the sum of the inputs, each times its sensitivity."""
        known = [(self._places[i], s) for i, s in sensitivities.items() if i in self._places]
        mean = sum(s * self._mean[place] for place, s in known)
        variance = sum(s * s for i, s in sensitivities.items() if i not in self._places)
        for place, s in known:
            row = self._covariance[place]
            variance += s * sum(row[other] * t for other, t in known)
        return mean, variance

    def condition(self, sensitivities: Sensitivities, residual: float, variance: float) -> None:
        """Take in a residual whose own variance, apart from these inputs, is known."""
        for name in sensitivities:
            self._admit(name)
        known = [(self._places[name], s) for name, s in sensitivities.items()]
        moved = [sum(row[place] * s for place, s in known) for row in self._covariance]
        spread = sum(moved[place] * s for place, s in known) + variance
        if spread <= 0.0:
            return
        off = residual - sum(self._mean[place] * s for place, s in known)
        for place, of_place in enumerate(moved):
            if of_place == 0.0:
                continue
            gain = of_place / spread
            self._mean[place] += gain * off
            row = self._covariance[place]
            self._covariance[place] = [
                value - gain * other for value, other in zip(row, moved, strict=True)
            ]

    def forget(self, names: Iterable[str]) -> None:
        """Leave inputs out that no other mash has; what was learnt of the rest stays."""
        gone = {self._places[name] for name in names if name in self._places}
        kept = [name for name, place in self._places.items() if place not in gone]
        places = [self._places[name] for name in kept]
        self._mean = [self._mean[place] for place in places]
        self._covariance = [[self._covariance[a][b] for b in places] for a in places]
        self._places = {name: place for place, name in enumerate(kept)}

    def input(self, name: str) -> tuple[float, float]:
        """Return mean and standard deviation of one input; (0, 1) where nothing is known of it."""
        place = self._places.get(name)
        if place is None:
            return 0.0, 1.0
        return self._mean[place], sqrt(max(0.0, self._covariance[place][place]))

    def dump(self) -> tuple[list[str], list[float], list[list[float]]]:
        """Return names, means and covariances, to be kept."""
        return list(self._places), self._mean, self._covariance

    @classmethod
    def load(cls, kept: Sequence[Any]) -> Belief:
        """Return what was kept. Raises ValueError where it cannot be that."""
        names, mean, covariance = kept
        size = len(names)
        if len(mean) != size or [len(row) for row in covariance] != [size] * size:
            raise ValueError("not a belief")
        found = cls()
        found._places = {str(name): place for place, name in enumerate(names)}
        found._mean = [float(value) for value in mean]
        found._covariance = [[float(value) for value in row] for row in covariance]
        return found

    @property
    def names(self) -> tuple[str, ...]:
        """All inputs something was learnt of."""
        return tuple(self._places)

    def _admit(self, name: str) -> None:
        if name in self._places:
            return
        self._places[name] = len(self._mean)
        self._mean.append(0.0)
        for row in self._covariance:
            row.append(0.0)
        self._covariance.append([0.0] * (len(self._mean) - 1) + [1.0])


class Measured(NamedTuple):
    """A reading beside what was predicted for it without readings.

    mash: what readings of one mash share, such as recipe and date. date: ISO, or empty. ph: at
    25 °C. ph_variance: of the temperature of the sample. predicted, sensitivities: of the mash as
    it was then, by driver id.
    """

    mash: str
    date: str
    ph: float
    predicted: float
    sensitivities: Sensitivities
    ph_variance: float = 0.0


class Comparison(NamedTuple):
    """A reading against what the earlier ones let expect. off: in standard deviations."""

    reading: int
    expected: float
    half_width: float
    off: float

    @property
    def is_outlier(self) -> bool:
        """Tell whether it is further off than chance explains, and counts for less."""
        return abs(self.off) > OUTLIER_FROM


class Learnt(NamedTuple):
    """What readings say. used: how many. comparisons: of each, in the order they count."""

    belief: Belief
    used: int
    comparisons: tuple[Comparison, ...]

    def expect(self, predicted: float, sensitivities: Sensitivities) -> tuple[float, float]:
        """Return the pH this brewer's meter will read, and its 95 % half-width."""
        shared, own = parted(sensitivities)
        shift, variance = self.belief.expect(shared)
        rest = sum(s * s for s in own.values()) + DAY_SD**2
        return predicted + shift, HALF_WIDTH_SD * sqrt(max(0.0, variance) + rest)


def parted(sensitivities: Sensitivities) -> tuple[dict[str, float], dict[str, float]]:
    """Return the sensitivities shared between mashes, with the offset, and those of one mash."""
    shared: dict[str, float] = {OFFSET: OFFSET_SD}
    own: dict[str, float] = {}
    for name, s in sensitivities.items():
        if name == _REPLACED or s == 0.0:
            continue
        if name.startswith(_OF_MALTS) and LOT_MARK in name:
            # class part and part of the lot, half the variance each
            part = s / sqrt(2.0)
            of_class = name.partition(LOT_MARK)[0]
            shared[of_class] = shared.get(of_class, 0.0) + part
            shared[name] = shared.get(name, 0.0) + part
        elif name in _SHARED or name.startswith((*_OF_MALTS, *_OF_WATER)):
            shared[name] = shared.get(name, 0.0) + s
        else:
            own[name] = s
    return shared, own


def learn(readings: Sequence[Measured]) -> Learnt:
    """Return what readings say, taken in the order of their dates, then as they are given.

    Readings of one mash share its own inputs and its day; each alone has the meter's repeat error
    and the width of its temperature.
    """
    belief = Belief()
    comparisons: list[Comparison] = []
    order = sorted(range(len(readings)), key=lambda place: readings[place].date)
    first: dict[str, int] = {}
    for rank, place in enumerate(order):
        first.setdefault(readings[place].mash, rank)
    ranks = {place: rank for rank, place in enumerate(order)}
    order.sort(key=lambda place: (first[readings[place].mash], ranks[place]))
    for _, group in groupby(order, key=lambda place: readings[place].mash):
        _take_in(belief, [(place, readings[place]) for place in group], comparisons)
    return Learnt(belief, len(readings), tuple(comparisons))


def learn_one_more(belief: Belief, reading: Measured) -> Belief:
    """Return what is believed after the first reading of one more mash; belief itself stays."""
    after = Belief.load(belief.dump())
    _take_in(after, [(0, reading)], [])
    return after


def _take_in(
    belief: Belief, mash: Sequence[tuple[int, Measured]], comparisons: list[Comparison]
) -> None:
    """Condition on all readings of one mash."""
    together = len(mash) > 1
    own_names: set[str] = set()
    for place, item in mash:
        shared, own = parted(item.sensitivities)
        variance = REPEAT_SD**2 + item.ph_variance
        if together:
            own[_DAY] = DAY_SD
            own_names |= own.keys()
            shared |= own
        else:
            variance += sum(s * s for s in own.values()) + DAY_SD**2
        shift, spread = belief.expect(shared)
        residual = item.ph - item.predicted
        total = sqrt(spread + variance)
        off = (residual - shift) / total
        comparisons.append(Comparison(place, item.predicted + shift, HALF_WIDTH_SD * total, off))
        if abs(off) > OUTLIER_FROM:
            variance = ((residual - shift) / OUTLIER_COUNTED_AS) ** 2 - spread
        belief.condition(shared, residual, variance)
    belief.forget(own_names)
