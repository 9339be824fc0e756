"""The example of README.md worked out by hand: volumes, water, mash pH.

Constants: molar masses IUPAC (Ca 40.078, Mg 24.305, HCO3 61.016); pK1 6.352, pK2 10.329, pKw 14.000
at 25 °C (Plummer and Busenberg 1982); 3.5 and 7 (Kolbach 1953); 0.30 pH per tenfold dilution, law
of the base malts and crush factor from the measurements of Troester (2009), as the model card
states them. What the grain and the tun keep (1.0 L/kg, 0.5 L) is common practice, from memory.
"""

from __future__ import annotations

from math import log10
from pathlib import Path

import pytest
from lxml import etree

from recipe_tools.brewday import BrewDay
from recipe_tools.checking import check_file

FILE = Path(__file__).resolve().parents[1] / "examples/inbox/market-day-pale.xml"


@pytest.fixture(scope="module")
def day() -> BrewDay:
    found = check_file(FILE).recipes[0].day
    assert found is not None
    return found


def test_the_file_still_holds_the_numbers_worked_with_here() -> None:
    recipe = etree.parse(FILE).find(".//RECIPE")
    assert recipe is not None

    def numbers(path: str) -> list[float]:
        return [float(item.text or "nan") for item in recipe.findall(path)]

    assert numbers("FERMENTABLES/FERMENTABLE/AMOUNT") == [4.3, 0.25]
    assert numbers("FERMENTABLES/FERMENTABLE/COLOR") == [3.0, 2.0]
    assert numbers("MASH/MASH_STEPS/MASH_STEP/INFUSE_AMOUNT") == [13.5]
    assert numbers("BOIL_SIZE") == [25.0]
    water = [numbers(f"WATERS/WATER/{tag}") for tag in ("CALCIUM", "MAGNESIUM", "BICARBONATE")]
    assert water == [[104.0], [9.0], [290.0]]
    assert numbers("WATERS/WATER/PH") == [7.4]


def test_volumes(day: BrewDay) -> None:
    # 4.3 + 0.25 = 4.55 kg of grain; the mash gives 13.5 - 4.55 x 1.0 - 0.5 = 8.45 L
    # the kettle takes 25 L: 25 - 8.45 = 16.55 L of sparge, 13.5 + 16.55 = 30.05 L in all
    assert day.mash is not None
    assert day.sparge is not None
    assert day.total is not None
    assert day.grist_kg == pytest.approx(4.55)
    assert day.mash.volume_l.best == pytest.approx(13.5)
    assert day.sparge.volume_l.best == pytest.approx(16.55)
    assert day.total.volume_l.best == pytest.approx(30.05)


def test_alkalinity(day: BrewDay) -> None:
    # 290/61.016 = 4.753 mEq/L; calcium 2 x 104/40.078 = 5.190, magnesium 2 x 9/24.305 = 0.741
    # residual: 4.753 - 5.190/3.5 - 0.741/7 = 4.753 - 1.483 - 0.106 = 3.164 mEq/L
    assert day.mash is not None
    assert day.mash.alkalinity_meq_l is not None
    assert day.mash.residual_alkalinity_meq_l is not None
    assert day.mash.alkalinity_meq_l.best == pytest.approx(4.753, abs=0.001)
    assert day.mash.residual_alkalinity_meq_l.best == pytest.approx(3.164, abs=0.002)


def test_mash_ph(day: BrewDay) -> None:
    # colour of the pale malt: (3.0 x 1.3546 - 0.76) x 1.97 = 6.51 EBC
    #   own pH 5.962 - 0.435 log10 6.51 = 5.608, buffer 32.4 + 15.8 log10 6.51 = 45.25 mEq/(kg pH)
    # dextrin malt: 5.65 and 34 (not measured, a guess of the project)
    # shares 4.3/4.55 = 0.9451 and 0.0549; crush 0.76
    #   buffer 0.76 x (0.9451 x 45.25 + 0.0549 x 34) = 33.92
    pale = 0.76 * 4.3 / 4.55 * 45.25
    dextrin = 0.76 * 0.25 / 4.55 * 34.0
    buffer = pale + dextrin
    assert buffer == pytest.approx(33.92, abs=0.02)
    # 13.5/4.55 = 2.967 L/kg, malts tested at 4: 0.30 log10(2.967/4) = -0.039
    #   grist alone: (32.50 x 5.608 + 1.42 x 5.65)/33.92 - 0.039 = 5.571
    ratio = 13.5 / 4.55
    grist = (pale * 5.608 + dextrin * 5.65) / buffer + 0.30 * log10(ratio / 4.0)
    assert grist == pytest.approx(5.571, abs=0.001)
    # calcium and magnesium: 2.967 x (5.190/3.5 + 0.741/7) = 4.714 mEq/kg -> -4.714/33.92 = -0.139
    hardness = ratio * (5.190 / 3.5 + 0.741 / 7.0)
    assert -hardness / buffer == pytest.approx(-0.139, abs=0.001)
    # water: 4.753 mEq/L were titrated from pH 7.4 to 4.3, so 4.753 = C (q(7.4) - q(4.3)) + 0.05
    #   with q the charge per mole of carbonate and 0.05 for the free acid at 4.3: C = 5.1 mmol/L
    #   at 5.756 it takes up 2.967 x C x (q(7.4) - q(5.756)) = 10.99 mEq/kg -> +0.324
    shares = {ph: _charge(ph) for ph in (4.3, 7.4)}
    carbonate = (4.753 - (1e3 * 10**-4.3 - 1e3 * 10**-7.4)) / (shares[7.4] - shares[4.3])
    low, high = 4.5, 7.0
    for _ in range(60):
        ph = (low + high) / 2.0
        water = ratio * (carbonate * (shares[7.4] - _charge(ph)) + 1e3 * (10**-ph - 10**-7.4))
        low, high = (ph, high) if buffer * (ph - grist) + hardness - water < 0 else (low, ph)
    assert carbonate == pytest.approx(5.1, abs=0.1)
    assert water / buffer == pytest.approx(0.324, abs=0.001)
    assert ph == pytest.approx(5.756, abs=0.002)
    assert day.prediction is not None
    assert day.prediction.ph == pytest.approx(ph, abs=0.002)
    shifts = day.prediction.contributions_ph
    assert shifts["malt"] == pytest.approx(grist, abs=0.002)
    assert shifts["carbonate"] == pytest.approx(water / buffer, abs=0.002)
    assert shifts["calcium_magnesium"] == pytest.approx(-hardness / buffer, abs=0.002)


def _charge(ph: float) -> float:
    """Return the negative charge per mole of carbonate at a pH: 0 CO2, 1 HCO3, 2 CO3."""
    first, second = 10 ** (ph - 6.352), 10 ** (2 * ph - 6.352 - 10.329)
    return (first + 2.0 * second) / (1.0 + first + second)
