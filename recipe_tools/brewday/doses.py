"""What an addition of the recipe is: which agent, how much of it, into which water."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipe_tools.brewday.defaults import default
from recipe_tools.brewday.records import COLD_STAGES, Dose, Form, Stage
from recipe_tools.chemistry.acids import protons_per_mole
from recipe_tools.chemistry.estimate import ZERO, Estimate, exactly
from recipe_tools.chemistry.suspended_bases import chalk_range
from recipe_tools.config import Options, ShelfItem
from recipe_tools.recipe import Addition, Recipe
from recipe_tools.reference import (
    Agent,
    AgentMatch,
    agent,
    agent_family,
    recognise_agent,
    solution_density_kg_l,
)

ROOM_PH = 5.4
"""pH at which the protons of an acid are counted for `Dose.acid_meq`."""

SLIP_SOLID_G_L = 5.0
SLIP_SOLUTION_ML_L = 20.0
"""More grams of a solid or millilitres of a solution per litre are a slip of a thousand.

derived_default: no more than 2.4 g/L of gypsum dissolve and saltier beers hold 1.5 g/L of salt; of
a 10 % acid 5 mL/L take away the alkalinity of very hard water.
"""
_DOSED_IN_LITRES_PERCENT = 3.0
"""Soured wort and lime water are so weak that brewers add them by the litre."""

_FOOD_KINDS = frozenset({"spice", "herb", "flavor", "wood", "fining"})
_UNMISTAKABLE = frozenset({"salt", "acid", "sulfite", "antioxidant"})
_FERMENTER = frozenset({"primary", "secondary", "fermentation", "tertiary"})
_PACKAGE = frozenset({"bottling", "package", "kegging"})
_KETTLE_WORDS = ("boil", "kettle", "flameout", "whirlpool", "first wort", "aroma", "steep")


def dose(
    addition: Addition,
    recipe: Recipe,
    litres_of: Callable[[Stage], float | None],
    options: Options,
) -> Dose | None:
    """Return what an addition does to the water; None for what is no water agent at all.

    litres_of: water of a stage, to tell a slip of a thousand. An addition that the file calls a
    water agent and whose name nobody knows comes back with ``agent`` None.
    """
    match = _match(addition)
    stage = _stage(addition, recipe)
    if match is None:
        if addition.kind != "water agent":
            return None
        return Dose(addition, None, (), stage, "unknown", pointer=addition.origin.path)
    chosen = _choose(match, options)
    kettle = "mash" if recipe.mashes else "boil"
    if chosen.agent.kind == "sulfite" and stage in ("mash", "sparge", "unknown", kettle):
        stage = "source"
    if stage == "unknown":
        stage = "mash"
    return _Measuring(addition, match, chosen, stage, litres_of(stage)).dose()


def _match(addition: Addition) -> AgentMatch | None:
    match = recognise_agent(addition.name, addition.notes)
    if match is None:
        return None
    found = agent(match.agent_id)
    if found.kind in ("malt", "water", "sorbent"):
        return match if addition.kind == "water agent" else None
    # Lime, soda and chalk are words for food, too; salts and acids are what they say.
    if addition.kind in _FOOD_KINDS and found.kind not in _UNMISTAKABLE:
        return None
    return match


def _stage(addition: Addition, recipe: Recipe) -> Stage:
    use = addition.use
    if use is None or use == "":
        return "unknown"
    if "sparge" in use:
        return "sparge"
    if "mash" in use:
        return _mash_or_sparge(addition, recipe)
    if use in _FERMENTER or "ferment" in use:
        return "fermenter"
    if use in _PACKAGE or "bottl" in use or "keg" in use:
        return "package"
    if any(word in use for word in _KETTLE_WORDS):
        return "boil"
    return "unknown"


def _mash_or_sparge(addition: Addition, recipe: Recipe) -> Stage:
    step = addition.step
    mash = recipe.mash
    if step is None or mash is None or not 1 <= step <= len(mash.steps):
        return "mash"
    return "sparge" if "sparge" in mash.steps[step - 1].kind else "mash"


class _Choice:
    """The agent taken, what the brewer's shelf says of it, and the readings left open."""

    __slots__ = ("agent", "candidates", "shelf")

    def __init__(self, taken: Agent, candidates: tuple[str, ...], shelf: ShelfItem | None) -> None:
        self.agent = taken
        self.candidates = candidates
        self.shelf = shelf


def _choose(match: AgentMatch, options: Options) -> _Choice:
    candidates = match.candidates or (match.agent_id,)
    named = agent(match.agent_id)
    shelf: ShelfItem | None = None
    for item in options.shelf:
        if item.agent in candidates or (
            item.agent in options_of(named) and not match.hydrate_named and len(candidates) > 1
        ):
            shelf = item
            break
    if shelf is not None and len(candidates) > 1:
        candidates = (shelf.agent,)
        named = agent(shelf.agent)
    return _Choice(named, candidates, shelf)


def options_of(named: Agent) -> tuple[str, ...]:
    """Return the ids of all forms of one chemical."""
    return tuple(item.id for item in agent_family(named.family)) if named.family else (named.id,)


class _Measuring:
    """Works out the amount of one addition and everything it brings."""

    def __init__(
        self,
        addition: Addition,
        match: AgentMatch,
        choice: _Choice,
        stage: Stage,
        litres: float | None,
    ) -> None:
        self.addition = addition
        self.match = match
        self.agent = choice.agent
        self.candidates = choice.candidates
        self.shelf = choice.shelf
        self.stage = stage
        self.litres = litres
        self.doubts: list[str] = []

    def dose(self) -> Dose:
        form = self._form()
        grams, millilitres = self._amount(form)
        grams, millilitres = self._without_slip(grams, millilitres, form)
        if form == "unknown":
            form = "solution" if millilitres is not None else "solid"
        strength = self._strength(form)
        if form == "solution" and strength is not None:
            grams_of_substance = self._substance(grams, millilitres, strength)
        else:
            grams_of_substance = self._solid_grams(grams)
        ions, alkalinity = self._brings(grams_of_substance, form)
        acid_mmol = self._acid_mmol(grams_of_substance)
        return Dose(
            addition=self.addition,
            agent=self.agent,
            candidates=self.candidates,
            stage=self.stage,
            form=form,
            grams=grams,
            millilitres=millilitres,
            strength_percent=strength,
            ions_mg=ions,
            alkalinity_meq=alkalinity,
            acid_meq=acid_mmol.times(self._protons()) if acid_mmol.high else ZERO,
            acid_mmol=acid_mmol,
            doubts=tuple(self.doubts),
            pointer=self.addition.origin.path,
        )

    def _form(self) -> Form:
        if self.shelf is not None and self.shelf.form in ("solid", "solution", "tablet"):
            return self.shelf.form  # type: ignore[return-value]
        if self.agent.form == "tablet":
            return "tablet"
        if self.agent.form == "solid":
            return "solid"
        if self.agent.form == "solution":
            if self._may_be_solid():
                self.doubts.append("form")
            return "solution"
        if self.match.form_named == "solution":
            return "solution"
        if self.match.strength_percent is None:
            return "solid" if self.addition.volume_ml is None else "unknown"
        if self.addition.mass_g is not None:
            self.doubts.append("form")
        return "solution"

    def _may_be_solid(self) -> bool:
        """True where a mass is given of something that is sold as a solution and as a solid."""
        if self.addition.mass_g is None or self.match.form_named == "solution":
            return False
        return any(agent(name).form != "solution" for name in self.candidates)

    def _amount(self, form: Form) -> tuple[Estimate | None, Estimate | None]:
        """Return (grams, millilitres) of the product; one of them is None, both where unknown."""
        addition = self.addition
        if form == "tablet":
            return self._tablets(), None
        if addition.pieces is not None:
            self.doubts.append("pieces")
            return None, None
        if addition.mass_g is not None:
            return exactly(addition.mass_g), None
        if addition.volume_ml is not None:
            return self._from_volume(addition.volume_ml, form)
        if addition.amount is None:
            self.doubts.append("amount-missing")
            return None, None
        if form == "solid":
            # BeerXML without the flag: by the standard litres, which no solid is dosed in.
            self.doubts.append("mass-flag")
            return exactly(addition.amount * 1000.0), None
        return None, exactly(addition.amount * 1000.0)

    def _from_volume(
        self, millilitres: float, form: Form
    ) -> tuple[Estimate | None, Estimate | None]:
        if form != "solid":
            return None, exactly(millilitres)
        self.doubts.append("mass-flag")
        if self.addition.is_weight is not None:
            return exactly(millilitres), None
        return default("bulk_density_of_powder").times(millilitres), None

    def _tablets(self) -> Estimate | None:
        addition = self.addition
        each = self.agent.tablet_g or 0.44
        if addition.mass_g is not None:
            return exactly(addition.mass_g)
        if addition.pieces is not None:
            return exactly(addition.pieces * each)
        if addition.volume_ml is not None:
            # A number of tablets under the flag for litres: the file has no word for pieces.
            self.doubts.append("pieces")
            return exactly(addition.volume_ml / 1000.0 * each)
        if addition.amount is not None:
            self.doubts.append("pieces")
            return exactly(addition.amount * each)
        self.doubts.append("amount-missing")
        return None

    def _is_dosed_in_grams(self) -> bool:
        weak = self.agent.default_strength_percent <= _DOSED_IN_LITRES_PERCENT
        bulky = self.agent.kind in ("sorbent", "malt", "water")
        return not bulky and not (weak and self.agent.form == "solution")

    def _without_slip(
        self, grams: Estimate | None, millilitres: Estimate | None, form: Form
    ) -> tuple[Estimate | None, Estimate | None]:
        amount = grams or millilitres
        litres = self.litres
        if amount is None or not litres or litres <= 0 or not self._is_dosed_in_grams():
            return grams, millilitres
        most = SLIP_SOLID_G_L if form == "solid" else SLIP_SOLUTION_ML_L
        if amount.best / litres <= most or self.stage in COLD_STAGES:
            return grams, millilitres
        self.doubts.append("unit-slip")
        if grams is not None:
            return grams.times(0.001), None
        return None, amount.times(0.001)

    def _strength(self, form: Form) -> Estimate | None:
        if form != "solution":
            return None
        if self.match.strength_percent is not None:
            return exactly(self.match.strength_percent)
        if self.shelf is not None and self.shelf.strength_percent is not None:
            return exactly(self.shelf.strength_percent)
        best = self.agent.default_strength_percent
        usual = self.agent.typical_strengths or (best,)
        if len(set(usual) | {best}) > 1:
            self.doubts.append("strength")
        return Estimate(min(*usual, best), best, max(*usual, best))

    def _substance(
        self, grams: Estimate | None, millilitres: Estimate | None, strength: Estimate
    ) -> Estimate | None:
        """Return grams of the pure substance in a solution."""
        ends = []
        for percent in strength:
            if grams is not None:
                ends.append(grams.best * percent / 100.0)
            elif millilitres is not None:
                ends.append(millilitres.best * self._density(percent) * percent / 100.0)
            else:
                return None
        low, best, high = ends
        return Estimate(min(low, best), best, max(high, best))

    def _density(self, percent: float) -> float:
        named = self.agent
        if named.kind != "acid" and named.family:
            named = next((i for i in agent_family(named.family) if i.form == "solution"), named)
        return solution_density_kg_l(named.id, percent)

    def _solid_grams(self, grams: Estimate | None) -> Estimate | None:
        if grams is None:
            return None
        purity = self.shelf.purity_percent if self.shelf is not None else None
        return grams.times(purity / 100.0) if purity is not None else grams

    def _brings(
        self, grams: Estimate | None, form: Form
    ) -> tuple[Mapping[str, Estimate], Estimate]:
        """Return milligrams of each ion and mEq of alkalinity of so many grams of substance."""
        if grams is None:
            return {}, ZERO
        readings = [agent(name) for name in self.candidates] or [self.agent]
        if form == "solution":
            readings = [_dissolved(self.agent)]
        elif len(readings) > 1:
            readings = [item for item in readings if item.form != "solution"] or [self.agent]
            if len({item.molar_mass_g_mol for item in readings}) > 1:
                self.doubts.append("hydrate")
        ions = _ions(readings, grams)
        if "form" in self.doubts:
            ions = _widened_by_solid(ions, self.candidates, self.addition.mass_g)
        alkalinity = grams.times(self.agent.alkalinity_meq_g)
        if self.agent.id == "chalk":
            return self._chalk_that_reacts(ions, alkalinity)
        return ions, alkalinity

    def _chalk_that_reacts(
        self, ions: Mapping[str, Estimate], alkalinity: Estimate
    ) -> tuple[Mapping[str, Estimate], Estimate]:
        litres = self.litres or 0.0
        if litres <= 0 or alkalinity.best <= 0:
            return ions, alkalinity
        acting = chalk_range(alkalinity.times(1.0 / litres)).times(litres)
        part = Estimate(*(amount / alkalinity.best for amount in acting))
        return (
            {name: part.times(amount.best) for name, amount in ions.items()},
            part.times(alkalinity.best),
        )

    def _acid_mmol(self, grams: Estimate | None) -> Estimate:
        known = self.agent
        if grams is None or known.kind not in ("acid", "antioxidant"):
            return ZERO
        return grams.times(1000.0 / known.molar_mass_g_mol) if known.molar_mass_g_mol > 0 else ZERO

    def _protons(self) -> float:
        return protons_per_mole(self.agent.pkas, ROOM_PH, self.agent.strong_protons)


def _dissolved(named: Agent) -> Agent:
    """Return the water-free form: the strength of a solution counts the salt without its water."""
    if not named.family:
        return named
    return next((item for item in agent_family(named.family) if item.hydrate == "0"), named)


def _ions(readings: list[Agent], grams: Estimate) -> dict[str, Estimate]:
    """Return milligrams of each ion, the ends spanning all readings, the first being the best."""
    names = dict.fromkeys(name for item in readings for name in item.ions_mg_per_g)
    result = {}
    for name in names:
        yields = [item.ions_mg_per_g.get(name, 0.0) for item in readings]
        result[name] = Estimate(
            grams.low * min(yields), grams.best * yields[0], grams.high * max(yields)
        )
    return result


def _widened_by_solid(
    ions: Mapping[str, Estimate], candidates: tuple[str, ...], mass_g: float | None
) -> dict[str, Estimate]:
    """Return the ions of a solution, widened to those of the same mass of the solid."""
    result = dict(ions)
    for name in candidates:
        solid = agent(name)
        if solid.form == "solution" or mass_g is None:
            continue
        for ion, per_gram in solid.ions_mg_per_g.items():
            known = result.get(ion, ZERO)
            amount = per_gram * mass_g
            result[ion] = Estimate(min(known.low, amount), known.best, max(known.high, amount))
    return result
