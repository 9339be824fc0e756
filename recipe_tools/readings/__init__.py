"""Measured mashes: what one reading says of its mash, and what all of them say of the next."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from math import sqrt

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.temperature import ph_at_25
from recipe_tools.readings.learning import HALF_WIDTH_SD, Learnt, Measured, learn
from recipe_tools.readings.records import Expected, KeptReading
from recipe_tools.reference import default_of

__all__ = ["Expected", "KeptReading", "Learnt", "Readings", "cooled", "meter_half_width"]


class Readings:
    """Kept readings with what is learnt from them.

    digest: differs wherever the readings do (part of the key of cached results).
    """

    __slots__ = ("_learnt", "digest", "entries")

    def __init__(
        self, entries: Sequence[KeptReading], digest: str = "", learnt: Learnt | None = None
    ) -> None:
        self.entries = tuple(entries)
        self.digest = digest or sha256(repr(self.entries).encode("utf-8", "replace")).hexdigest()
        self._learnt = learnt

    @property
    def learnt(self) -> Learnt:
        """What the readings say; worked out when it is first asked for."""
        if self._learnt is None:
            self._learnt = learn([measured(item) for item in self.entries])
        return self._learnt


def measured(reading: KeptReading) -> Measured:
    """Return a kept reading as it is learnt from."""
    at_25 = cooled(reading.mash_ph, reading.celsius)
    width = 0.5 * (at_25.high - at_25.low) / HALF_WIDTH_SD
    expected = reading.expected
    return Measured(
        reading.mash,
        reading.date,
        at_25.best,
        expected.predicted,
        expected.sensitivities,
        width * width,
    )


def cooled(ph: float, celsius: float | None, meter: float = 0.0) -> Estimate:
    """Return what a reading is at 25 °C, with the width of its temperature and of the meter.

    celsius: of the sample; None: it is supposed to have been cooled. meter: 95 % half-width.
    """
    best = Estimate(ph, ph, ph)
    if celsius is not None:
        best = ph_at_25(ph, celsius, Estimate(*default_of("sample_ph_per_celsius")))
    half = 0.5 * (best.high - best.low)
    whole = sqrt(half * half + meter * meter)
    return Estimate(best.best - whole, best.best, best.best + whole)


def meter_half_width() -> float:
    """Return how far a pH meter may be off where nobody says (95 %)."""
    return default_of("meter_error")[2]
