"""Proposes doses for a recipe."""

from __future__ import annotations

from dataclasses import replace

from recipe_tools.brewday import BrewDay, plan
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing.advice import cautions, portions, soda_for_a_tenth
from recipe_tools.dosing.applied import (
    dilution_of,
    malt_swap,
    own_treatments,
    with_doses,
    with_sulfite,
    without_treatments,
)
from recipe_tools.dosing.changes import Change, Outcome, none_exists, smallest_changes
from recipe_tools.dosing.columns import is_speck
from recipe_tools.dosing.dechlorination import dechlorination
from recipe_tools.dosing.limits import aims, target_of
from recipe_tools.dosing.plans import Best, Task, best_plan, nearest_unsafe, plan_at
from recipe_tools.dosing.records import (
    Proposal,
    Request,
    Unmet,
)
from recipe_tools.dosing.search import NEAR_PH, WORTH_A_SHARE
from recipe_tools.dosing.setting import all_litres
from recipe_tools.dosing.shelf import has_pure_water, left_alone, shelf_of, stocks, supposed
from recipe_tools.dosing.stops import TOLERATED_PH, what_leads_further, what_stops
from recipe_tools.dosing.verdict import MASH_PH, missed, robust, unmet
from recipe_tools.dosing.words import (
    chlorine_text,
    limit_text,
    no_way_text,
    not_worth_text,
    nothing_to_plan,
    remarks,
    short_text,
    stopped_text,
    unmet_text,
    wider_text,
)
from recipe_tools.judgement.mash import STATED_TARGET, stated_ph
from recipe_tools.recipe import Recipe

_NARROWEST_PH = 0.02
_WORTH_DOSING_PH = 0.02
"""A mash comes nearer its target by at least as much, or it is left alone (derived_default)."""


def propose(recipe: Recipe, options: Options, request: Request | None = None) -> Proposal:
    """Return a dosing plan for a recipe, or the reason why none exists.

    The plan of `search` over the shelf of the configuration (the usual one where none is named),
    without pure water if that meets every range, else with the smallest share of it that does, in
    steps of 5 %. Sparge acid comes first, by root (`sparge`): it does not depend on the salts.
    """
    return _Planning(recipe, options, request or Request()).proposal()


class _Planning:
    """Works out one proposal."""

    def __init__(self, recipe: Recipe, options: Options, asked: Request) -> None:
        self.recipe = recipe
        self.options = options
        self.asked = asked
        self.before = plan(recipe, options)
        self.shelf = stocks(options, all_litres(self.before))
        self.bare = without_treatments(recipe, options) if asked.replace else recipe
        untreated = self.before if self.bare is recipe else plan(self.bare, options)
        self.sulfite = dechlorination(untreated, options)
        self.base = with_sulfite(self.bare, self.sulfite)
        self.day = untreated if self.sulfite is None else plan(self.base, options)
        self.goal = aims(self.day, options, leave_sour=asked.target_ph is None)
        self.target, self.target_from = target_of(self.day, self.goal, asked.target_ph)
        self.stated = (
            _around(self.target, STATED_TARGET.in_force(options)["tolerance"])
            if self.target_from == "recipe"
            else None
        )

    def proposal(self) -> Proposal:
        reason = nothing_to_plan(self.day)
        if reason:
            return self._without_plan((reason,), ())
        task, best = self._best()
        if best is None:
            ways, none = self._ways_out(task)
            return self._without_plan((*self._why_none(task), *none), ways)
        centred = self._centred(task, best)
        return self._with_plan(task, self._worth_it(centred), centred)

    def _best(self, *, complete: bool = False) -> tuple[Task, Best | None]:
        """Return the best plan, about the mash pH the recipe states where there is one."""
        task = self._task(self.day, self._window())
        best = best_plan(task, complete=complete)
        if best is None and self.stated is not None and not complete:
            task = self._task(self.day, self.goal.ph)
            best = best_plan(task)
        return task, best

    def _window(self) -> tuple[float, float]:
        return self.goal.ph if self.stated is None else _common(self.goal.ph, self.stated)

    def _task(self, day: BrewDay, window: tuple[float, float]) -> Task:
        return Task(
            day=day,
            shelf=self.shelf,
            aims=self.goal,
            target_ph=self.target,
            split=self.asked.split,
            ph=window,
            dilution=self.asked.dilution and has_pure_water(self.options),
        )

    def _replaced(self) -> Task | None:
        """Return the task with the recipe's own doses left out, None where that changes nothing."""
        if self.asked.replace or not own_treatments(self.recipe, self.options):
            return None
        bare = without_treatments(self.recipe, self.options)
        sulfite = dechlorination(plan(bare, self.options), self.options)
        return self._task(plan(with_sulfite(bare, sulfite), self.options), self._window())

    def _ways_out(self, task: Task) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return what would make a plan possible, and that nothing does where nothing does."""
        if not self.asked.ways_out:
            return (), ()
        task, replaced = replace(task, ph=self._window()), self._replaced()
        ways = smallest_changes(task, replaced, self._attempt)
        if ways:
            return ways, ()
        tasks = (task,) if replaced is None else (task, replaced)
        return ways, (no_way_text(proven=none_exists(*tasks)),)

    def _attempt(self, change: Change) -> Outcome | None:
        """Plan with a change as if it had been made, without looking for what else would help."""
        options, asked = self.options, self.asked
        extra = (*change.bought, *((ShelfItem("pure_water"),) if change.water else ()))
        if extra:
            options = replace(options, shelf=(*shelf_of(options), *extra))
        if change.treatment is not None:
            options = replace(options, treatment=change.treatment)
        asked = replace(
            asked,
            replace=asked.replace or change.replace,
            dilution=asked.dilution or change.water,
        )
        return _Planning(self.recipe, options, asked).outcome()

    def outcome(self) -> Outcome | None:
        """Return what comes of a plan that meets everything; None where there is none."""
        if nothing_to_plan(self.day):
            return None
        task, best = self._best(complete=True)
        if best is None:
            return None
        best = self._worth_it(self._centred(task, best))
        after = self._after(best)
        if unmet(after, self.goal, self.stated):
            return None
        return Outcome(best.share, short_text(after, self._misses(after)))

    def _why_none(self, task: Task) -> tuple[str, ...]:
        """Return the limits that leave no plan, with what keeps the mash from its window."""
        broken = self._unsafe(task)
        reasons = [limit_text(item, self.day) for item in broken]
        for item in broken:
            if item.quantity == MASH_PH:
                stop = what_stops(task, None, item.value)
                reasons.append(stopped_text(stop, item.value, self.target, ()))
        return tuple(reasons)

    def _unsafe(self, task: Task) -> tuple[Unmet, ...]:
        """Return the hard constraints the nearest plan would break."""
        nearest = nearest_unsafe(task)
        if nearest is None:
            return ()
        found = unmet(self._after(nearest), self.goal, self.stated)
        return tuple(item for item in found if item.hard) or found

    def _after(self, best: Best) -> BrewDay:
        return plan(self._planned(best), self.options)

    def _planned(self, best: Best) -> Recipe:
        dilution = dilution_of(self.day, best.share, self.day.pure_share)
        return with_doses(self.base, self.day, best.doses, dilution)

    def _centred(self, task: Task, best: Best) -> Best:
        """Return a plan whose band lies in the window, where the target is free and one exists."""
        after = self._after(best)
        found = after.prediction
        if found is None or self.target_from == "asked" or robust(after, self.goal):
            return best
        low, high = self.goal.window
        narrow = _common(task.ph, (low + found.ph - found.low, high - found.high + found.ph))
        if narrow[1] - narrow[0] < _NARROWEST_PH:
            return best
        other = plan_at(replace(best.task, ph=narrow), best.share)
        if other is None or best.better_than(other) or not robust(self._after(other), self.goal):
            return best
        return other

    def _worth_it(self, best: Best) -> Best:
        """Return a plan, or the one of adding nothing where the brew day is as good without.

        So a plan that stands in the recipe is not mended again by a tenth of a gram: a range is
        either met at last or missed by clearly less, or the mash comes clearly nearer its target.
        """
        left = unmet(self.day, self.goal, self.stated)
        if any(item.hard for item in left):
            return best
        after = self._after(best)
        still = unmet(after, self.goal, self.stated)
        specks = bool(still) and all(is_speck(self.day, item) for item in best.doses)
        if not specks and missed(left) - missed(still) > (WORTH_A_SHARE if still else 0.0):
            return best
        off, nearer = self._off(self.day), self._off(self.day) - self._off(after)
        if off > NEAR_PH and nearer > (NEAR_PH if left else _WORTH_DOSING_PH):
            return best
        return Best((), 0.0, best.met, best.missed, best.task)

    def _misses(self, after: BrewDay) -> bool:
        """Tell whether a mash is off its target."""
        return self._off(after) > NEAR_PH + TOLERATED_PH

    def _off(self, day: BrewDay) -> float:
        return 0.0 if day.prediction is None else abs(day.prediction.ph - self.target)

    def _stopped(self, task: Task, after: BrewDay, found: Best) -> tuple[str, ...]:
        """Return what stopped a plan short of its target, and what leads further."""
        if after.prediction is None or not self._misses(after):
            return ()
        ph = after.prediction.ph
        if found.off_ph <= NEAR_PH:
            return (not_worth_text(ph, self.target),)
        ways = what_leads_further(task, found, ph > self.target)
        return (stopped_text(what_stops(task, found, ph), ph, self.target, ways),)

    def _with_plan(self, task: Task, best: Best, found: Best) -> Proposal:
        """Return a plan. found: the same before it was asked whether it is worth it."""
        planned = self._planned(best)
        after = plan(planned, self.options)
        left = unmet(after, self.goal, self.stated)
        if any(item.hard for item in left):
            reasons = tuple(limit_text(item, self.day) for item in left if item.hard)
            ways, none = self._ways_out(task)
            return self._without_plan((*reasons, *none), ways)
        changes = [text for item in left if (text := wider_text(item))] if len(left) == 1 else []
        ways, none = self._ways_out(task) if left else ((), ())
        changes = [*ways, *changes]
        soda = None
        parts = portions(self.day, best.share, best.doses)
        if parts:
            soda = soda_for_a_tenth(after, self.goal)
        return Proposal(
            feasible=not left,
            request=self.asked,
            target_ph=self.target,
            target_from=self.target_from,
            window=self.goal.window,
            recipe=self.recipe,
            planned=planned,
            before=self.before,
            after=after,
            doses=best.doses,
            dilution=dilution_of(self.day, best.share, self.day.pure_share),
            dechlorination=self.sulfite,
            swap=malt_swap(self.day, best.doses),
            portions=parts,
            soda_g_per_tenth=soda,
            unmet=left,
            reasons=(
                *(unmet_text(item) for item in left),
                *(none if not changes else ()),
            ),
            changes=tuple(changes),
            missing=self._missing(),
            robust=robust(after, self.goal),
            cautions=cautions(best.doses, self.sulfite, soda is not None),
            supposed=supposed(self.options),
            remarks=(*self._stopped(task, after, found), *self._remarks(after)),
            shelf=self.shelf,
            options=self.options,
        )

    def _without_plan(self, reasons: tuple[str, ...], changes: tuple[str, ...]) -> Proposal:
        return Proposal(
            feasible=False,
            request=self.asked,
            target_ph=self.target,
            target_from=self.target_from,
            window=self.goal.window,
            recipe=self.recipe,
            planned=None,
            before=self.before,
            after=None,
            doses=(),
            dilution=None,
            dechlorination=self.sulfite,
            swap=None,
            portions=(),
            soda_g_per_tenth=None,
            unmet=(),
            reasons=reasons,
            changes=changes,
            missing=self._missing(),
            robust=False,
            cautions=cautions((), self.sulfite, soda=False),
            supposed=supposed(self.options),
            remarks=self._remarks(None),
            shelf=self.shelf,
            options=self.options,
        )

    def _missing(self) -> tuple[str, ...]:
        text = chlorine_text(self.day, self.sulfite)
        return (text,) if text else ()

    def _remarks(self, after: BrewDay | None) -> tuple[str, ...]:
        left = left_alone(self.options)
        said = [*remarks(self.before, self.day, after, self.goal, left)]
        tolerance = STATED_TARGET.in_force(self.options)["tolerance"]
        stated = (item.ph for item in stated_ph(self.recipe))
        off = [ph for ph in stated if abs(ph - self.target) > tolerance]
        if off and after is not None and after.prediction is not None:
            said.append(
                f"the recipe states pH {off[0]:g} for its mash: write the planned one in its place"
            )
        return tuple(said)


def _around(value: float, by: float) -> tuple[float, float]:
    return value - by, value + by


def _common(first: tuple[float, float], second: tuple[float, float]) -> tuple[float, float]:
    return max(first[0], second[0]), min(first[1], second[1])
