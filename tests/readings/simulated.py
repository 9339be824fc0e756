"""Invented brewers whose mashes are put through the model: ``python -m tests.readings.simulated``.

Their malts, crush, meter and days are drawn as the model of `readings.learning` supposes them, and
put through the balance of protons itself, not through the sensitivities that are learnt from.
"""

from __future__ import annotations

import random
import sys

from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.mash_ph import MaltShare, MashInput, Prediction, ph_only, predict
from recipe_tools.readings.learning import (
    DAY_SD,
    HALF_WIDTH_SD,
    OFFSET_SD,
    Learnt,
    Measured,
    learn,
)


def measured(prediction: Prediction, ph: float, mash: str, date: str = "") -> Measured:
    """Return a reading beside its prediction, as it is kept."""
    sensitivities = {item.id: item.sensitivity for item in prediction.drivers}
    return Measured(mash, date, ph, prediction.ph, sensitivities)


def expected(learnt: Learnt, prediction: Prediction) -> tuple[float, float]:
    """Return the reading to be expected, with its half-width."""
    return learnt.expect(prediction.ph, {item.id: item.sensitivity for item in prediction.drivers})


class Brewer:
    """A brewer with malts, crush, meter and days of his own, drawn as the model supposes them."""

    CLASSES = ("pilsner", "pale", "munich", "caramel", "wheat")

    def __init__(self, dice: random.Random) -> None:
        self.dice = dice
        self.di = {name: dice.gauss(0, 1) for name in self.CLASSES}
        self.buffer = {name: dice.gauss(0, 1) for name in self.CLASSES}
        self.crush = dice.gauss(0, 1)
        self.offset = dice.gauss(0, OFFSET_SD)

    def read(self, mash: MashInput, water: Estimate) -> float:
        """Return what the meter shows: the mash with this brewer's own values, put through it."""
        malts = tuple(
            malt._replace(
                di_ph=exactly(drawn(malt.di_ph, self.di[malt.group])),
                buffer_meq_kg_ph=exactly(drawn(malt.buffer_meq_kg_ph, self.buffer[malt.group])),
            )
            for malt in mash.malts
        )
        true = mash._replace(
            malts=malts,
            crush_factor=exactly(drawn(mash.crush_factor, self.crush)),
            alkalinity_meq_l=exactly(drawn(water, self.dice.gauss(0, 1))),
        )
        return ph_only(true) + self.offset + self.dice.gauss(0, DAY_SD)


def drawn(value: Estimate, z: float) -> float:
    return value.best + z * (value.high - value.low) / (2 * HALF_WIDTH_SD)


MALTS = {
    # pH in distilled water and buffer with 95 % bands of about the width of a class
    "pilsner": (Estimate(5.52, 5.72, 5.92), Estimate(33.0, 43.0, 53.0)),
    "pale": (Estimate(5.50, 5.70, 5.90), Estimate(33.0, 43.0, 53.0)),
    "munich": (Estimate(5.20, 5.42, 5.64), Estimate(40.0, 52.0, 64.0)),
    "caramel": (Estimate(4.75, 5.0, 5.25), Estimate(30.0, 40.0, 50.0)),
    "wheat": (Estimate(5.82, 6.02, 6.22), Estimate(33.0, 43.0, 53.0)),
}


def recipe(dice: random.Random) -> MashInput:
    base = dice.choice(["pilsner", "pale", "munich"])
    others = dice.sample([name for name in Brewer.CLASSES if name != base], dice.choice([0, 1, 2]))
    shares = [dice.uniform(0.05, 0.25) for _ in others]
    grist = [(base, 1.0 - sum(shares)), *zip(others, shares, strict=True)]
    alkalinity = dice.uniform(0.2, 3.0)
    return MashInput(
        malts=tuple(
            MaltShare(name, share, *MALTS[name], di_water_l_kg=4.0, group=name)
            for name, share in grist
        ),
        water_to_grist_l_kg=exactly(dice.uniform(2.5, 4.0)),
        alkalinity_meq_l=Estimate(0.92 * alkalinity, alkalinity, 1.08 * alkalinity),
        water_ph=exactly(7.6),
        calcium_meq_l=exactly(dice.uniform(0.5, 4.0)),
        crush_factor=Estimate(0.7, 0.8, 0.9),
    )


RECIPES = [recipe(random.Random(place)) for place in range(30)]
PREDICTIONS = [predict(mash) for mash in RECIPES]


def brew(brewer: Brewer, length: int) -> tuple[list[bool], list[float]]:
    """Return for each brew day whether the reading lay in its band, and the half-width of that."""
    kept: list[Measured] = []
    inside: list[bool] = []
    widths: list[float] = []
    for day in range(length):
        place = brewer.dice.randrange(len(RECIPES))
        mash, prediction = RECIPES[place], PREDICTIONS[place]
        ph = brewer.read(mash, mash.alkalinity_meq_l)
        centre, half = expected(learn(kept), prediction)
        inside.append(abs(ph - centre) <= half)
        widths.append(half)
        kept.append(measured(prediction, ph, f"day {day}"))
    return inside, widths


def promises(brewers: int, length: int = 12) -> tuple[list[float], list[float]]:
    """Return for each brew day the share of readings in their bands, %, and the mean half-width."""
    hits = [0] * length
    widths = [0.0] * length
    for seed in range(brewers):
        inside, halves = brew(Brewer(random.Random(1000 + seed)), length)
        for day in range(length):
            hits[day] += inside[day]
            widths[day] += halves[day] / brewers
    return [100.0 * hit / brewers for hit in hits], widths


def main() -> None:
    brewers = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    coverage, widths = promises(brewers)
    print(f"{brewers} brewers   in band   half-width   of the first")
    for day, (share, width) in enumerate(zip(coverage, widths, strict=True), start=1):
        part = 100.0 * width / widths[0]
        print(f"brew day {day:>2}   {share:>6.1f} %   {width:>8.3f}   {part:>9.0f} %")


if __name__ == "__main__":
    main()
