"""What the mash pH model is told about a mash."""

from typing import NamedTuple

from recipe_tools.chemistry.carbonate import END_POINT_PH
from recipe_tools.chemistry.estimate import ZERO, Estimate, exactly


class MaltShare(NamedTuple):
    """One malt of the grist.

    share: 0..1 of the grist by mass. di_ph: pH of its mash in distilled water with di_water_l_kg
    litres to the kilogram. buffer_meq_kg_ph: for pulverised grain, before the crush factor.
    lot_known: the buffer was measured on this lot as crushed, so no crush factor is applied.
    group: malts of one group are off in the same direction (same class); empty: on its own.
    """

    label: str
    share: float
    di_ph: Estimate
    buffer_meq_kg_ph: Estimate
    di_water_l_kg: float
    lot_known: bool = False
    group: str = ""


class AcidCharge(NamedTuple):
    """An acid in the mash: mmol per kg of grist, its pKa values and protons that always leave."""

    label: str
    mmol_kg: Estimate
    pkas: tuple[float, ...] = ()
    strong_protons: int = 0


class MashInput(NamedTuple):
    """A mash as the model sees it. Per-litre values are those of the mash liquor.

    water_to_grist_l_kg: above 0. alkalinity_meq_l: of the source water (blended, treated), titrated
    to end_point_ph, without the bases below. calcium_meq_l, magnesium_meq_l: dissolved, with salts
    and lime, without the calcium of suspended chalk. bicarbonate_mmol_l: baking soda, potassium
    bicarbonate. hydroxide_meq_kg: per kg of grist; lime counts with the part that acts (see
    `effective_lime`). chalk_meq_l: alkalinity of suspended chalk in full; the model takes the part
    that acts, and the calcium that goes with it. chalk_lost_meq_l: alkalinity, with as much
    calcium, that the strike water may lose as chalk while it heats; best is that it loses none.
    learnt_meq_kg: protons given per kg of grist that nothing else accounts for, as readings of a
    brewer tell (0 without).
    """

    malts: tuple[MaltShare, ...]
    water_to_grist_l_kg: Estimate
    alkalinity_meq_l: Estimate = ZERO
    water_ph: Estimate = Estimate(7.0, 8.0, 8.4)
    end_point_ph: float = END_POINT_PH
    calcium_meq_l: Estimate = ZERO
    magnesium_meq_l: Estimate = ZERO
    acids: tuple[AcidCharge, ...] = ()
    bicarbonate_mmol_l: Estimate = ZERO
    hydroxide_meq_kg: Estimate = ZERO
    chalk_meq_l: Estimate = ZERO
    crush_factor: Estimate = exactly(1.0)
    chalk_lost_meq_l: float = 0.0
    learnt_meq_kg: float = 0.0
