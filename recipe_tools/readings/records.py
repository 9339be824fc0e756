"""What is kept of a measured mash."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

NO_LOTS: Mapping[str, str] = MappingProxyType({})


class Expected(NamedTuple):
    """What was predicted for a mash without readings, when it was read.

    predicted, low, high: pH with its 95 % band. sensitivities: by id of the driver, those of a lot
    or a water report with ``@`` and its name behind (see `readings.learning`).
    """

    predicted: float
    low: float
    high: float
    sensitivities: Mapping[str, float]


class KeptReading(NamedTuple):
    """One reading of one mash.

    recipe: path of the file, relative to the folder of the readings, forward slashes. name: of the
    recipe. date: ISO. mash_ph: as the meter showed it. celsius: of the sample, None: cooled, as far
    as anybody said. minutes: after dough-in. added: what went into the mash before, beyond what the
    recipe states. lots: malt -> lot. line: where it stands in its file, 0 where in none.
    """

    recipe: str
    name: str
    date: str
    mash_ph: float
    expected: Expected
    celsius: float | None = None
    minutes: float | None = None
    added: tuple[str, ...] = ()
    lots: Mapping[str, str] = NO_LOTS
    line: int = 0

    @property
    def mash(self) -> str:
        """What all readings of one mash have in common."""
        return f"{self.recipe}\n{self.name}\n{self.date}"
