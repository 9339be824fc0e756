"""Answers for one water: sulfite against chlorine, acid to a pH, dilution to an alkalinity.

Amounts are for the brewer's litres where given. Whoever weighs them out finds the usual cautions
beside each answer; labels of products and local rules come first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from recipe_tools.brewday.chlorine import TRACE_MG_L
from recipe_tools.chemistry.acids import counter_ion, meq_per_gram, meq_per_ml
from recipe_tools.chemistry.carbonate import acid_to_ph
from recipe_tools.chemistry.estimate import Estimate, bests
from recipe_tools.chemistry.ions import MOLAR_MASS_G_MOL
from recipe_tools.chemistry.treatment import (
    DISTILLED,
    REVERSE_OSMOSIS,
    Dechlorinator,
    Water,
    blend,
    dechlorinate,
    proposed_dose,
    share_for_target,
)
from recipe_tools.config import ShelfItem
from recipe_tools.reference import Agent, acid_density_kg_l, agent, hazard
from recipe_tools.water_report import WaterReport

STOCK_MG_ML = 10.0
"""1 g in 100 mL of water: what a kitchen scale can still weigh out for a small dose."""
UNKNOWN_PH = Estimate(7.0, 8.0, 8.4)
"""Where the report states no pH: span of tap waters with alkalinity (derived_default)."""

SULFITES: tuple[tuple[Dechlorinator, str], ...] = (
    ("sodium_metabisulfite", "campden_tablet_sodium"),
    ("potassium_metabisulfite", "campden_tablet_potassium"),
)
USUAL_ACIDS = (
    ShelfItem("lactic_acid", "solution", 80.0),
    ShelfItem("lactic_acid", "solution", 88.0),
    ShelfItem("phosphoric_acid", "solution", 10.0),
    ShelfItem("phosphoric_acid", "solution", 75.0),
    ShelfItem("hydrochloric_acid", "solution", 10.0),
    ShelfItem("sulfuric_acid", "solution", 10.0),
    ShelfItem("citric_acid_monohydrate", "solid"),
)
"""What shops for brewers sell; stands in where the configuration names no shelf."""

SULFITE_CAUTIONS = (
    "Sulfite is an allergen: people with asthma can react to it, to the dust and the gas too. "
    "Handle it in moving air, never near acid.",
    "Stir, wait a few minutes, and use the water the same day: nothing protects it from germs now.",
)
CHLORAMINE_CAUTION = (
    "Against chloramine use sulfite: ascorbic acid was found not to act on it (Basu & De Souza "
    "2011, J. Water Supply Res. Technol. AQUA 60:167-177), though some use it; standing does not "
    "help, and carbon needs several times the contact time."
)
ACID_CAUTIONS = (
    "Pour acid into water, never water into acid; add most of it, stir, measure, add the rest.",
    "Use food grade acid only. Label, safety data sheet and local rules of the product come first.",
)


@dataclass(frozen=True, slots=True)
class SulfiteDose:
    """A dose of one sulfite. grams, tablets, stock_ml: for the volume, None without one.

    tablets: of 0.44 g active mass. stock_ml: of 1 g in 100 mL water. sulfur_dioxide_mg_l: left over
    at most. brings_mg_l: ions it leaves.
    """

    agent: str
    name: str
    mg_l: float
    grams: float | None
    tablets: float | None
    stock_ml: float | None
    sulfur_dioxide_mg_l: float
    brings_mg_l: dict[str, float]


@dataclass(frozen=True, slots=True)
class Dechlorination:
    """How to remove the chlorine stated in a report (as Cl2)."""

    chlorine_mg_l: float
    chloramine: bool
    volume_l: float | None
    doses: tuple[SulfiteDose, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AcidDose:
    """One acid for the demand.

    unit: mL or g. per_l: of the product for a litre; amount: for the volume. leaves: ion or anion
    it leaves behind, with mg/L. hazard: signal word and codes of that strength.
    """

    agent: str
    name: str
    strength_percent: float
    unit: str
    per_l: float
    amount: float | None
    leaves: str
    leaves_mg_l: float
    hazard: str
    advice: str


@dataclass(frozen=True, slots=True)
class AcidDemand:
    """Acid that brings the water to a pH. meq_l: low, best and high; 0 where none is needed."""

    ph: float
    from_ph: float
    ph_stated: bool
    meq_l: Estimate
    volume_l: float | None
    doses: tuple[AcidDose, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Dilution:
    """Pure water that brings the alkalinity down.

    tap_share: 0..1 of the mixture; None where no mixture reaches the target. pure: which pure water
    it takes. ions_mg_l, ph: of the mixture. explanation: in words.
    """

    target_meq_l: float
    tap_share: float | None
    pure: str
    volume_l: float | None
    ions_mg_l: dict[str, float]
    ph: float | None
    explanation: str


def dechlorination(report: WaterReport, volume_l: float | None) -> Dechlorination | None:
    """Return the sulfite against the chlorine of a report; None for none and for a trace."""
    chlorine = report.chlorine_mg_l
    if chlorine is None or chlorine <= TRACE_MG_L:
        return None
    chloramine = bool(report.chloramine)
    cautions = (*SULFITE_CAUTIONS, CHLORAMINE_CAUTION) if chloramine else SULFITE_CAUTIONS
    return Dechlorination(
        chlorine,
        chloramine,
        volume_l,
        tuple(
            _sulfite(name, agent(tablet), chlorine, chloramine, volume_l)
            for name, tablet in SULFITES
        ),
        cautions,
    )


def _sulfite(
    name: Dechlorinator,
    tablet: Agent,
    chlorine: float,
    chloramine: bool,
    volume_l: float | None,
) -> SulfiteDose:
    mg_l = proposed_dose(name, chlorine)
    result = dechlorinate(name, mg_l, chlorine, chloramine=chloramine)
    grams = None if volume_l is None else mg_l * volume_l / 1000.0
    brought = {
        "sodium": result.sodium_mg_l,
        "potassium": result.potassium_mg_l,
        "chloride": result.chloride_mg_l,
        "sulfate": result.sulfate_mg_l,
        "ammonium": result.ammonium_mg_l,
    }
    return SulfiteDose(
        name,
        agent(name).name,
        mg_l,
        grams,
        grams / tablet.tablet_g if grams is not None and tablet.tablet_g else None,
        None if grams is None else grams * 1000.0 / STOCK_MG_ML,
        result.sulfur_dioxide_mg_l,
        {ion: amount for ion, amount in brought.items() if amount > 0.0},
    )


def acid_demand(
    report: WaterReport,
    to_ph: float,
    volume_l: float | None,
    shelf: Iterable[ShelfItem] = (),
) -> AcidDemand:
    """Return the acid that brings the water to a pH, for the acids of a shelf or the usual ones.

    Carbon dioxide is taken to stay in the water; as it escapes later, the pH rises.
    """
    from_ph = report.ph or UNKNOWN_PH
    alkalinity = report.alkalinity_meq_l
    ends = [
        _demand(alkalinity.low, from_ph.low, to_ph, report.end_point_ph),
        _demand(alkalinity.best, from_ph.best, to_ph, report.end_point_ph),
        _demand(alkalinity.high, from_ph.high, to_ph, report.end_point_ph),
    ]
    needed = Estimate(min(ends), ends[1], max(ends))
    acids = [item for item in shelf if agent(item.agent).kind == "acid"] or list(USUAL_ACIDS)
    doses = (
        tuple(
            dose
            for item in acids
            if (dose := _acid_dose(item, needed.best, to_ph, volume_l)) is not None
        )
        if needed.best > 0.0
        else ()
    )
    return AcidDemand(
        to_ph,
        from_ph.best,
        report.ph is not None,
        needed,
        volume_l,
        doses,
        ACID_CAUTIONS if doses else (),
    )


def _demand(alkalinity: float, from_ph: float, to_ph: float, end_point_ph: float) -> float:
    if from_ph <= to_ph:
        return 0.0
    return max(0.0, acid_to_ph(alkalinity, from_ph, to_ph, end_point_ph=end_point_ph))


def _acid_dose(
    item: ShelfItem, meq_l: float, to_ph: float, volume_l: float | None
) -> AcidDose | None:
    known = agent(item.agent)
    if not known.molar_mass_g_mol or not (known.pkas or known.strong_protons):
        return None
    solid = item.form == "solid" or (item.form is None and known.form != "solution")
    percent = item.purity_percent if solid else item.strength_percent
    percent = percent or known.default_strength_percent
    if not percent:
        return None
    per_gram = meq_per_gram(
        known.molar_mass_g_mol,
        known.pkas,
        to_ph,
        strong_protons=known.strong_protons,
        percent=percent,
    )
    per_ml = meq_per_ml(
        known.molar_mass_g_mol,
        known.pkas,
        to_ph,
        acid_density_kg_l(known.id, percent),
        strong_protons=known.strong_protons,
        percent=percent,
    )
    per_l = meq_l / (per_gram if solid else per_ml)
    left = counter_ion(known.family or known.id, known.pkas, to_ph, known.strong_protons)
    danger = hazard(known.id, None if solid else percent)
    return AcidDose(
        known.id,
        known.name,
        percent,
        "g" if solid else "mL",
        per_l,
        None if volume_l is None else per_l * volume_l,
        left.ion,
        left.mg_per_meq * meq_l,
        "" if danger is None else " ".join((danger.signal_word, *danger.h, *danger.euh)),
        "" if danger is None else danger.advice,
    )


def dilution(report: WaterReport, target_meq_l: float, volume_l: float | None) -> Dilution:
    """Return the pure water that brings the alkalinity to a target in mEq/L.

    Reverse osmosis water is taken first; where it is not pure enough, distilled water.
    """
    alkalinity = report.alkalinity_meq_l.best
    tap = Water(
        {
            ion: amount
            for ion, amount in bests(report.ions_mg_l).items()
            if ion not in ("bicarbonate", "carbonate")
        },
        alkalinity,
        None if report.ph is None else report.ph.best,
    )
    if alkalinity <= target_meq_l:
        text = "The alkalinity is not above the target: no dilution is needed."
        return _diluted(target_meq_l, 1.0, "none", volume_l, tap, text)
    for pure, name in ((REVERSE_OSMOSIS, "reverse osmosis water"), (DISTILLED, "distilled water")):
        share = share_for_target(target_meq_l, alkalinity, pure.alkalinity_meq_l)
        if share is None:
            continue
        mixed = blend(((tap, share), (pure, 1.0 - share)))
        text = f"{100 * share:.0f} % of this water and {100 * (1 - share):.0f} % {name}."
        return _diluted(target_meq_l, share, name, volume_l, mixed, text)
    text = "No mixture with pure water reaches that."
    return Dilution(target_meq_l, None, "none", volume_l, {}, None, text)


def _diluted(
    target: float, share: float, pure: str, volume_l: float | None, water: Water, text: str
) -> Dilution:
    ions = dict(water.ions_mg_l)
    ions["bicarbonate"] = water.alkalinity_meq_l * MOLAR_MASS_G_MOL["bicarbonate"]
    return Dilution(target, share, pure, volume_l, ions, water.ph, text)
