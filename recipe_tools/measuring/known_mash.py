"""A mash with its prediction, and what goes into it once its pH was read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import sqrt
from typing import NamedTuple

from recipe_tools.brewday import BrewDay, plan
from recipe_tools.brewday.learnt import named_sensitivities
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.mash_input import MashInput
from recipe_tools.chemistry.mash_ph import Prediction
from recipe_tools.chemistry.measured_mash import SD_PER_HALF_WIDTH, buffer_shares
from recipe_tools.config import Options
from recipe_tools.dosing.correction import Correction, corrections
from recipe_tools.readings import Expected, KeptReading, measured
from recipe_tools.readings.learning import Belief, learn, learn_one_more
from recipe_tools.recipe import Recipe


class Sample(NamedTuple):
    """A reading of a mash: as the meter showed it, and at 25 °C with its width."""

    ph: float
    celsius: float | None
    at_25: Estimate


class KnownMash(NamedTuple):
    """A mash before its pH is read. expected: what is kept with a reading of it."""

    day: BrewDay
    mash: MashInput
    prediction: Prediction
    expected: Expected

    def corrections(
        self,
        options: Options,
        sample: Sample,
        target_ph: float,
        earlier: Sequence[KeptReading] = (),
    ) -> tuple[Correction, ...]:
        """Return what each agent of the shelf does from a reading on, the first to take in front.

        earlier: kept readings of the same mash.
        """
        belief = self._belief(options, sample, earlier)
        mash, buffer = _buffer(self.mash, sample.at_25.best, belief)
        day = self.day._replace(mash_input=mash)
        return corrections(day, options, sample.at_25, target_ph, buffer)

    def _belief(self, options: Options, sample: Sample, earlier: Sequence[KeptReading]) -> Belief:
        """Return what is known of the buffers after this reading and those before it."""
        mash = earlier[-1].mash if earlier else "this"
        this = KeptReading("", "", "", sample.ph, self.expected, sample.celsius)
        last = measured(this)._replace(mash=mash, date="9999-12-31", ph=sample.at_25.best)
        if not earlier:
            taught = Belief() if options.readings is None else options.readings.learnt.belief
            return learn_one_more(taught, last)
        kept = [] if options.readings is None else list(options.readings.entries)
        kept += [item for item in earlier if item not in kept]
        return learn([*map(measured, kept), last]).belief


def known_mash(recipe: Recipe, options: Options) -> KnownMash | None:
    """Return the mash of a recipe; None where its pH cannot be predicted."""
    untaught = plan(recipe, replace(options, readings=None))
    day = untaught if options.readings is None else plan(recipe, options)
    mash, prediction, plain = day.mash_input, day.prediction, untaught.prediction
    if mash is None or prediction is None or plain is None:
        return None
    expected = Expected(
        round(plain.ph, 4),
        round(plain.low, 4),
        round(plain.high, 4),
        named_sensitivities(mash, plain, day.source, options.lots),
    )
    return KnownMash(day, mash, prediction, expected)


def _buffer(mash: MashInput, ph: float, belief: Belief) -> tuple[MashInput, float]:
    """Return the mash with its buffers as they are known by now, and their relative half-width."""

    def moved(key: str, value: Estimate) -> Estimate:
        shift = belief.input(key)[0] * (value.high - value.low) * 0.5 * SD_PER_HALF_WIDTH
        return exactly(max(0.1 * value.best, value.best + shift))

    shares = buffer_shares(mash, ph)
    variance = belief.expect(shares)[1]
    malts = tuple(
        malt._replace(buffer_meq_kg_ph=moved(f"malt_buffer:{malt.group}", malt.buffer_meq_kg_ph))
        for malt in mash.malts
    )
    crush = moved("crush", mash.crush_factor)
    known = mash._replace(malts=malts, crush_factor=crush)
    return known, sqrt(max(0.0, variance)) / SD_PER_HALF_WIDTH
