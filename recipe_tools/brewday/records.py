"""What is known of a brew day once it has been computed."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple

from recipe_tools.brewday.treated import TreatedWater
from recipe_tools.chemistry.carbonate import END_POINT_PH
from recipe_tools.chemistry.estimate import ZERO, Estimate
from recipe_tools.chemistry.mash_input import MashInput
from recipe_tools.chemistry.mash_ph import Prediction
from recipe_tools.recipe import Addition, Fermentable, Recipe, WaterSource
from recipe_tools.reference import Agent, FamilyMatch, FamilyTargets, MaltMatch
from recipe_tools.water_report import WaterReport

Stage = Literal["source", "mash", "sparge", "boil", "fermenter", "package", "unknown"]
Form = Literal["solid", "solution", "tablet", "unknown"]
COLD_STAGES: frozenset[Stage] = frozenset({"fermenter", "package"})
"""What goes in there never meets the wort."""
LEAST_CHLORIDE_MG_L = 5.0
"""Below it no ratio to chloride is formed."""
NO_IONS: Mapping[str, Estimate] = MappingProxyType({})


class Assumption(NamedTuple):
    """What the file does not say and the computation had to suppose. pointer: where it matters."""

    id: str
    text: str
    pointer: str = ""


class SourceWater(NamedTuple):
    """The water before any treatment of the recipe.

    known: False where nobody says what is in it. origin: ``file``, ``report``, ``configuration``,
    ``pure`` (a pure-water name) or ``unknown``. ions_mg_l: as wide as a report gives them; no key
    for an ion nobody states. chlorine_mg_l: free chlorine or chloramine as Cl2; None where not
    stated. report: the one it was taken from. record_reports: each record as the report it was
    typed in from. treated: what was done to it before, None for nothing.
    """

    known: bool
    name: str
    origin: str
    ions_mg_l: Mapping[str, Estimate]
    alkalinity_meq_l: Estimate
    ph: Estimate
    end_point_ph: float = END_POINT_PH
    chlorine_mg_l: float | None = None
    chloramine: bool | None = None
    records: tuple[WaterSource, ...] = ()
    pointer: str = ""
    report: WaterReport | None = None
    record_reports: tuple[WaterReport, ...] = ()
    treated: TreatedWater | None = None

    def mg_l(self, ion: str) -> float:
        """Return the best value of an ion, mg/L, and 0 where nobody states it."""
        return self.ions_mg_l.get(ion, ZERO).best


class Dose(NamedTuple):
    """An addition of the recipe, understood as far as its name and amount allow.

    agent: None where the name is not recognised as a water agent. candidates: ids of the agents the
    wording leaves open, best first. grams, millilitres: of the product as sold; one is None.
    ions_mg: milligrams of each ion it brings. alkalinity_meq: alkalinity it brings (bases only).
    acid_meq: protons an acid gives at pH 5.4; acid_mmol: its amount. doubts: ``hydrate``,
    ``strength``, ``form``, ``mass-flag``, ``unit-slip``, ``amount-missing``, ``pieces``.
    """

    addition: Addition
    agent: Agent | None
    candidates: tuple[str, ...]
    stage: Stage
    form: Form
    grams: Estimate | None = None
    millilitres: Estimate | None = None
    strength_percent: Estimate | None = None
    ions_mg: Mapping[str, Estimate] = NO_IONS
    alkalinity_meq: Estimate = ZERO
    acid_meq: Estimate = ZERO
    acid_mmol: Estimate = ZERO
    doubts: tuple[str, ...] = ()
    pointer: str = ""

    @property
    def in_wort(self) -> bool:
        """True where it ends up in the wort: not what goes into fermenter or package."""
        return self.stage not in COLD_STAGES


class AfterAcid(NamedTuple):
    """The liquor with its acid, before it meets the grain (25 °C, closed to the air).

    alkalinity_meq_l: of the carbonate that is left, to the end point of the source water; the
    anion of a weak acid is not counted, since it does not hold the pH of a sparge up.
    """

    alkalinity_meq_l: float
    ph: float


class Liquor(NamedTuple):
    """The water of one stage with its salts, before acid and malt.

    ions_mg_l: by ion name; empty where the source water is unknown. alkalinity and residual
    alkalinity (Kolbach) are None there too. The counter-ions of mineral acids are counted.
    """

    stage: Literal["mash", "sparge", "total"]
    volume_l: Estimate
    ions_mg_l: Mapping[str, Estimate]
    alkalinity_meq_l: Estimate | None
    residual_alkalinity_meq_l: Estimate | None
    after_acid: AfterAcid | None = None

    @property
    def sulfate_to_chloride(self) -> float | None:
        """Ratio by mass; None below 5 mg/L chloride or where an ion is unknown."""
        chloride, sulfate = self.ions_mg_l.get("chloride"), self.ions_mg_l.get("sulfate")
        if chloride is None or sulfate is None or chloride.best < LEAST_CHLORIDE_MG_L:
            return None
        return sulfate.best / chloride.best


class GristItem(NamedTuple):
    """A fermentable that is mashed, with the class its name and colour point to.

    guess: what about it is only guessed, ``name`` or ``values`` (nobody measured malt of its
    class); empty where nothing is, or where the DI pH of the lot is known.
    """

    fermentable: Fermentable
    malt: MaltMatch
    share: float
    kilograms: float
    guess: Literal["", "name", "values"] = ""


class BrewDay(NamedTuple):
    """Everything computed for one recipe. A part that cannot be computed is None.

    mash_input: what the pH model was told. not_predictable: what is missing for the mash pH, in
    words (empty where a prediction exists).
    target: the WATER record marked as target, if any. family: style family, None where unknown.
    targets: the ranges of that family, with those the configuration replaces. soured_by: what says
    that the beer is soured on purpose; empty where nothing does. listed_water: additions of water
    without an analysis that are all the brewing water, on their own or with pure water.
    pure_share: part of the liquor that is pure water listed among the additions.
    """

    recipe: Recipe
    source: SourceWater
    mash: Liquor | None
    sparge: Liquor | None
    total: Liquor | None
    doses: tuple[Dose, ...]
    grist: tuple[GristItem, ...]
    grist_kg: float
    water_to_grist_l_kg: float | None
    mash_input: MashInput | None
    prediction: Prediction | None
    not_predictable: tuple[str, ...]
    family: FamilyMatch | None
    target: WaterSource | None
    assumptions: tuple[Assumption, ...]
    top_up_l: float = 0.0
    acidulated_share: float = 0.0
    og: float | None = None
    colour_ebc: float | None = None
    ibu: Estimate | None = None
    notes_agents: tuple[str, ...] = ()
    targets: FamilyTargets | None = None
    soured_by: str = ""
    listed_water: tuple[Addition, ...] = ()
    pure_share: float = 0.0

    @property
    def is_mashed(self) -> bool:
        """True where grain is mashed: not for extract beer, cider, mead or soda."""
        return self.recipe.mashes and (bool(self.grist) or self.recipe.mash is not None)

    @property
    def liquor(self) -> Liquor | None:
        """The water by which taste is judged: all that the recipe uses, else that of the mash."""
        return self.total or self.mash
