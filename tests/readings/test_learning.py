"""What readings teach: the published series of two lots, simulated brewers, and plain properties.

Published: Troester K. (2009), the 24 laboratory mashes of two malts at four thicknesses and three
alkalinities. The constants of the model are a derived_default; what is checked here is that it
keeps its promises where they can be checked from outside.
"""

from __future__ import annotations

import itertools
import random
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_tools.chemistry.mash_ph import MaltShare, Prediction, predict
from recipe_tools.readings.learning import Measured, learn
from tests.accuracy import by_class, thickness_mashes
from tests.readings.simulated import MALTS, PREDICTIONS, expected, measured, promises, recipe


def rms(values: list[float]) -> float:
    return sqrt(sum(value * value for value in values) / len(values))


def test_two_published_lots_are_predicted_better_from_the_fourth_mash_on() -> None:
    """Told class, colour and an ordinary crush, as a recipe tells them, where the grain was
    pulverised: what is learnt is the crush as much as the lot.
    """
    plain: list[float] = []
    taught: list[float] = []
    for malt, rows in itertools.groupby(thickness_mashes(), key=lambda row: row["malt"]):
        kept: list[Measured] = []
        for place, row in enumerate(rows):
            prediction, ph = by_class(row, "normal"), float(row["ph"])
            if place >= 3:
                plain.append(ph - prediction.ph)
                taught.append(ph - expected(learn(kept), prediction)[0])
            kept.append(measured(prediction, ph, f"{malt} {place}"))
        assert len(kept) == 12
    assert rms(taught) <= 0.65 * rms(plain)


def test_the_bands_of_simulated_brewers_hold_what_they_promise() -> None:
    """Normal 95 % bands; 250 brewers leave a scatter of 1.4 % on a coverage."""
    coverage, widths = promises(250)
    assert min(coverage) >= 90.0, coverage
    assert max(coverage) <= 98.5, coverage
    assert widths[-1] <= 0.6 * widths[0], widths


def test_without_readings_nothing_is_shifted() -> None:
    for prediction in PREDICTIONS:
        assert expected(learn([]), prediction)[0] == prediction.ph


def grist_of(**shares: float) -> Prediction:
    dice = random.Random(5)
    mash = recipe(dice)
    malts = tuple(
        MaltShare(name, share, *MALTS[name], di_water_l_kg=4.0, group=name)
        for name, share in shares.items()
    )
    return predict(mash._replace(malts=malts))


def test_one_lot_that_is_off_is_found_where_it_belongs() -> None:
    """A Munich lot reads 0.2 high; everything else is as it was supposed to be."""
    mixed = [
        grist_of(munich=1.0),
        grist_of(pilsner=1.0),
        grist_of(munich=0.6, pilsner=0.4),
        grist_of(pale=0.8, munich=0.2),
        grist_of(munich=0.9, caramel=0.1),
        grist_of(pilsner=0.9, wheat=0.1),
    ]
    share = [1.0, 0.0, 0.6, 0.2, 0.9, 0.0]
    kept = [
        measured(prediction, prediction.ph + 0.2 * part, f"mash {place}")
        for place, (prediction, part) in enumerate(zip(mixed, share, strict=True))
    ]
    learnt = learn(kept)
    munich = grist_of(munich=1.0)
    (sensitivity,) = (i.sensitivity for i in munich.drivers if i.id == "malt_ph:munich")
    shift = expected(learnt, munich)[0] - munich.ph
    assert 0.12 <= shift <= 0.2
    assert learnt.belief.input("malt_ph:munich")[0] * sensitivity > 0.5 * shift
    for other in (grist_of(pilsner=1.0), grist_of(pale=0.9, caramel=0.1)):
        assert abs(expected(learnt, other)[0] - other.ph) < 0.25 * shift


def test_a_named_lot_keeps_half_of_what_it_says_to_itself() -> None:
    plain = grist_of(munich=1.0)
    lot = {
        (f"{i.id}@17" if i.id.startswith("malt_") else i.id): i.sensitivity for i in plain.drivers
    }
    learnt = learn([Measured("m", "", plain.ph + 0.2, plain.ph, lot)])
    same_lot = learnt.expect(plain.ph, lot)[0] - plain.ph
    other_lot = learnt.expect(plain.ph, {k.replace("@17", "@18"): s for k, s in lot.items()})[0]
    assert 0.0 < other_lot - plain.ph < same_lot


@given(st.permutations(range(8)))
def test_the_order_of_readings_does_not_matter(order: list[int]) -> None:
    """Conditioning a Gaussian is independent of order; none of these is an outlier."""
    dice = random.Random(3)
    kept = [
        measured(prediction, prediction.ph + dice.gauss(0.0, 0.1), f"mash {place}")
        for place, prediction in enumerate(PREDICTIONS[:8])
    ]
    plain, shuffled = learn(kept), learn([kept[place] for place in order])
    assert not any(item.is_outlier for item in (*plain.comparisons, *shuffled.comparisons))
    for prediction in PREDICTIONS:
        assert expected(shuffled, prediction) == pytest.approx(
            expected(plain, prediction), abs=1e-9
        )


def test_the_date_decides_the_order_whatever_the_file_says() -> None:
    one, two = PREDICTIONS[0], PREDICTIONS[1]
    early = measured(one, one.ph + 0.1, "a", "2026-03-01")
    late = measured(two, two.ph - 0.1, "b", "2026-04-01")
    assert [item.reading for item in learn([late, early]).comparisons] == [1, 0]


def test_a_reading_as_predicted_moves_nothing_and_narrows() -> None:
    for prediction in PREDICTIONS[:6]:
        learnt = learn([measured(prediction, prediction.ph, "m")])
        for name in learnt.belief.names:
            assert learnt.belief.input(name)[0] == pytest.approx(0.0, abs=1e-12)
        assert expected(learnt, prediction)[1] < expected(learn([]), prediction)[1]


def test_readings_of_one_mash_count_as_one_day() -> None:
    """Twice the same reading of one mash says hardly more than once; of two mashes it does."""
    prediction = PREDICTIONS[0]
    off = prediction.ph + 0.15
    once = learn([measured(prediction, off, "a")])
    twice = learn([measured(prediction, off, "a"), measured(prediction, off, "a")])
    two_days = learn([measured(prediction, off, "a"), measured(prediction, off, "b")])
    shifts = [expected(item, prediction)[0] - prediction.ph for item in (once, twice, two_days)]
    assert shifts[0] <= shifts[1] < shifts[2]
    assert shifts[1] - shifts[0] < 0.2 * (shifts[2] - shifts[0])
    assert set(once.belief.names) == set(twice.belief.names)


def test_one_slip_does_not_bend_the_rest() -> None:
    """A pH read a whole unit off, among six good ones."""
    good = [measured(item, item.ph + 0.05, f"m{n}") for n, item in enumerate(PREDICTIONS[:6])]
    slip = measured(PREDICTIONS[6], PREDICTIONS[6].ph + 1.0, "slip")
    learnt = learn([*good, slip])
    assert [item.is_outlier for item in learnt.comparisons] == [False] * 6 + [True]
    before, after = (expected(learn(kept), PREDICTIONS[7])[0] for kept in (good, [*good, slip]))
    assert abs(after - before) < 0.25


def test_an_input_nobody_knows_any_more_belongs_to_its_mash_alone() -> None:
    prediction = PREDICTIONS[0]
    reading = measured(prediction, prediction.ph + 0.2, "m")
    known = learn([reading._replace(sensitivities={**reading.sensitivities, "of_old": 0.1})])
    assert "of_old" not in known.belief.names
