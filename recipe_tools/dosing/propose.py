"""Proposes doses for a recipe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from recipe_tools.brewday import BrewDay, plan
from recipe_tools.config import Options
from recipe_tools.dosing.changes import smallest_changes
from recipe_tools.dosing.limits import HIGHEST_PH, LOWEST_PH, ROUNDING_SHARE, Aims, aims
from recipe_tools.dosing.model import build
from recipe_tools.dosing.records import Dilution, Proposal, ProposedDose, Request, Stock, Unmet
from recipe_tools.dosing.search import Found, broken_limits, search
from recipe_tools.dosing.setting import Setting, all_litres, mash_litres, sparge_litres
from recipe_tools.dosing.shelf import USUAL_SHELF, has_pure_water, stocks
from recipe_tools.dosing.sparge import sparge_acid
from recipe_tools.recipe import Addition, Recipe

SHARE_STEP = 0.05
PURE_WATER = "Reverse osmosis water"
_TREATMENTS = frozenset({"salt", "base", "acid", "sulfite", "antioxidant"})
_WATER_STAGES = frozenset({"source", "mash", "sparge", "boil"})
_NEAR_ENOUGH = 1e-4


def propose(recipe: Recipe, options: Options, request: Request | None = None) -> Proposal:
    """Return a dosing plan for a recipe, or the reason why none exists.

    The plan of `search` over the shelf of the configuration (the usual one where none is named),
    without pure water if that meets every range, else with the smallest share of it that does, in
    steps of 5 %. Sparge acid comes first, by root (`sparge`): it does not depend on the salts.
    """
    asked = request or Request()
    shelf = stocks(options)
    supposed = () if options.shelf else (_supposed_shelf(),)
    bare = without_treatments(recipe, options) if asked.replace else recipe
    before = plan(recipe, options)
    day = before if bare is recipe else plan(bare, options)
    reason = _nothing_to_plan(day)
    if reason:
        return Proposal(
            False, asked, before, None, (), None, (), (reason,), (), False, supposed, shelf
        )
    goal = aims(day)
    dilution = asked.dilution and has_pure_water(options)
    best = best_plan(day, shelf, goal, asked, dilution)
    if best is None:
        setting = Setting(day, shelf, goal, asked)
        reasons = tuple(_limit_text(label, day) for label in broken_limits(build(setting)))
        changes = smallest_changes(day, shelf, goal, asked, dilution)
        return Proposal(
            False, asked, before, None, (), None, (), reasons, changes, False, supposed, shelf
        )
    after = plan(with_doses(bare, best.doses, best.dilution), options)
    unmet = _unmet(after, goal)
    changes = () if not unmet else smallest_changes(day, shelf, goal, asked, dilution)
    return Proposal(
        feasible=not unmet,
        request=asked,
        before=before,
        after=after,
        doses=best.doses,
        dilution=best.dilution,
        unmet=unmet,
        reasons=tuple(_unmet_text(item) for item in unmet),
        changes=changes,
        robust=_robust(after),
        supposed=supposed,
        shelf=shelf,
    )


def without_treatments(recipe: Recipe, options: Options) -> Recipe:
    """Return the recipe without the salts, acids, bases and sulfite it adds to its water."""
    dosed = {
        item.pointer
        for item in plan(recipe, options).doses
        if item.agent is not None and item.agent.kind in _TREATMENTS and item.stage in _WATER_STAGES
    }
    kept = tuple(item for item in recipe.additions if item.origin.path not in dosed)
    return replace(recipe, additions=kept)


def with_doses(recipe: Recipe, doses: Sequence[ProposedDose], dilution: Dilution | None) -> Recipe:
    """Return the recipe with the doses and pure water of a plan among its additions."""
    added = [addition(item) for item in doses]
    if dilution is not None:
        litres = sum(dilution.litres.values())
        added.append(
            Addition(
                PURE_WATER, "other", "mash", amount=litres, unit="L", volume_ml=1000.0 * litres
            )
        )
    return replace(recipe, additions=(*recipe.additions, *added))


def addition(item: ProposedDose) -> Addition:
    """Return a dose as an addition of a recipe."""
    if item.stock.unit == "mL":
        return Addition(
            item.stock.name,
            "water agent",
            item.stage,
            amount=item.amount,
            unit="ml",
            volume_ml=item.amount,
        )
    return Addition(
        item.stock.name, "water agent", item.stage, amount=item.amount, unit="g", mass_g=item.amount
    )


class Best:
    """A plan that has been found, with what it misses."""

    __slots__ = ("dilution", "doses", "missed")

    def __init__(
        self, doses: tuple[ProposedDose, ...], dilution: Dilution | None, missed: float
    ) -> None:
        self.doses = doses
        self.dilution = dilution
        self.missed = missed


def best_plan(
    day: BrewDay, shelf: Sequence[Stock], goal: Aims, request: Request, dilution: bool
) -> Best | None:
    """Return the plan with the smallest share of pure water that meets all ranges.

    Where none meets them all: the one that misses them least. None where no plan is safe.
    """
    best: Best | None = None
    count = round(1.0 / SHARE_STEP) if dilution else 0
    for place in range(count + 1):
        found = _plan_at(day, shelf, goal, request, place * SHARE_STEP)
        if found is None:
            continue
        if found.missed <= _NEAR_ENOUGH:
            return found
        if best is None or found.missed < best.missed - _NEAR_ENOUGH:
            best = found
    return best


def _plan_at(
    day: BrewDay, shelf: Sequence[Stock], goal: Aims, request: Request, share: float
) -> Best | None:
    best: Best | None = None
    for acid in _sparge_acids(day, shelf, share):
        setting = Setting(day, shelf, goal, request, share, acid)
        program = build(setting)
        found = search(program)
        if found is None:
            continue
        if best is None or found.missed < best.missed - _NEAR_ENOUGH:
            doses = _doses(found, setting)
            best = Best(doses, _dilution(day, share), found.missed)
        if best.missed <= _NEAR_ENOUGH:
            break
    return best


def _sparge_acids(
    day: BrewDay, shelf: Sequence[Stock], share: float
) -> tuple[ProposedDose | None, ...]:
    found = tuple(
        dose
        for stock in shelf
        if stock.is_acid and (dose := sparge_acid(day, stock, share)) is not None
    )
    return found or (None,)


def _doses(found: Found, setting: Setting) -> tuple[ProposedDose, ...]:
    program = build(setting)
    doses = [
        ProposedDose(setting.stocks[place], "mash" if stage == "mash" else "sparge", round(value))
        for (place, stage), value in _columns(program.columns, program.whole, found.values)
        if place >= 0 and stage in ("mash", "sparge") and round(value) > 0
    ]
    if setting.sparge_acid is not None:
        doses.append(setting.sparge_acid)
    return tuple(doses)


def _columns(
    columns: Sequence[tuple[int, str]], whole: Sequence[bool], values: Sequence[float]
) -> list[tuple[tuple[int, str], float]]:
    """Return the meaning and value of each whole-number variable."""
    places = [column for column, is_whole in enumerate(whole) if is_whole]
    return [(meaning, values[column]) for meaning, column in zip(columns, places, strict=True)]


def _dilution(day: BrewDay, share: float) -> Dilution | None:
    if share <= 0:
        return None
    litres = {"mash": share * mash_litres(day), "sparge": share * sparge_litres(day)}
    rest = share * (all_litres(day) - mash_litres(day) - sparge_litres(day))
    if rest > 0.05:
        litres["kettle"] = rest
    return Dilution(share, {name: amount for name, amount in litres.items() if amount > 0})


def _nothing_to_plan(day: BrewDay) -> str:
    if not day.source.known:
        return "the source water is not known: name a water report with --water"
    if day.total is None and day.mash is None:
        return "the recipe states no volume of water"
    if day.not_predictable:
        return f"the mash pH cannot be predicted: {', '.join(day.not_predictable)}"
    return ""


def _supposed_shelf() -> str:
    names = ", ".join(
        f"{item.agent.replace('_', ' ')}"
        + (f" {item.strength_percent:g} %" if item.strength_percent else "")
        for item in USUAL_SHELF
    )
    return f"no [[shelf]] in the configuration: {names} supposed, weighed to 0.1 g"


def _unmet(day: BrewDay, goal: Aims) -> tuple[Unmet, ...]:
    """Return what the finished plan leaves outside, judged on the brew day computed anew."""
    found = []
    liquor = day.total or day.mash
    ions = liquor.ions_mg_l if liquor is not None else {}
    for ion, (low, high) in goal.wanted.items():
        if ion not in ions:
            continue
        level = ions[ion].best
        slack = 0.4
        if (low is not None and level < low * (1 - ROUNDING_SHARE) - slack) or (
            high is not None and level > high * (1 + ROUNDING_SHARE) + slack
        ):
            found.append(Unmet(ion, level, low, high, "mg/L"))
    found.extend(_unmet_ratio(day, goal))
    residual = _residual_after_acid(day)
    ceiling = goal.residual_meq_l
    if residual is not None and ceiling is not None and residual > ceiling + 9.0 / 50.043:
        found.append(Unmet("residual alkalinity", residual, None, ceiling, "mEq/L"))
    prediction = day.prediction
    if prediction is not None and not LOWEST_PH <= prediction.ph <= HIGHEST_PH:
        found.append(Unmet("mash pH", prediction.ph, LOWEST_PH, HIGHEST_PH, "pH", hard=True))
    return tuple(found)


def _unmet_ratio(day: BrewDay, goal: Aims) -> list[Unmet]:
    liquor = day.total or day.mash
    wanted = goal.sulfate_to_chloride
    if liquor is None or wanted is None:
        return []
    ratio = liquor.sulfate_to_chloride
    sulfate, chloride = liquor.ions_mg_l.get("sulfate"), liquor.ions_mg_l.get("chloride")
    if ratio is None or sulfate is None or chloride is None:
        return []
    if max(sulfate.best, chloride.best) < 50.0 or min(sulfate.best, chloride.best) > 150.0:
        return []
    low, high = wanted
    if (low is not None and ratio < low - 0.05) or (high is not None and ratio > high + 0.05):
        return [Unmet("sulfate to chloride", ratio, low, high, "by mass")]
    return []


def _residual_after_acid(day: BrewDay) -> float | None:
    if day.mash is None or day.mash.residual_alkalinity_meq_l is None:
        return None
    if day.acidulated_share > 0:
        return None
    acid = sum(item.acid_meq.best for item in day.doses if item.stage == "mash")
    return day.mash.residual_alkalinity_meq_l.best - acid / day.mash.volume_l.best


def _unmet_text(item: Unmet) -> str:
    digits = 2 if item.unit == "pH" else 1 if item.unit != "mg/L" else 0
    low = "" if item.low is None else f"{item.low:g}"
    high = "" if item.high is None else f"{item.high:g}"
    wanted = (
        f"{low} to {high}" if low and high else f"at most {high}" if high else f"at least {low}"
    )
    return f"{item.quantity} would be {item.value:.{digits}f} {item.unit}; wanted: {wanted}"


def _limit_text(label: str, day: BrewDay) -> str:
    level = day.source.ions_mg_l.get(label)
    if level is not None:
        return f"{label} passes its safe limit; the source water alone brings {level:.0f} mg/L"
    return f"{label} cannot be kept within its limits with what is on the shelf"


def _robust(day: BrewDay) -> bool:
    found = day.prediction
    return found is None or (found.low >= LOWEST_PH and found.high <= HIGHEST_PH)
