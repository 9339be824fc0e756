"""The rows on ions: ranges of the style, safe limits, sulfate to chloride, traces."""

from __future__ import annotations

from recipe_tools.brewday.records import LEAST_CHLORIDE_MG_L
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.dosing.limits import HALF_A_MILLIGRAM, RATIO_SLACK, let_pass
from recipe_tools.dosing.need_rows import Need, keep_to_needs
from recipe_tools.dosing.program import PLENTY_MG_L, Program
from recipe_tools.dosing.setting import (
    Level,
    Setting,
    all_litres,
    ion_level,
    mash_level,
    mash_litres,
    with_share,
)
from recipe_tools.judgement.ions import brought_mg

_SOLIDS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")
_ALKALINITY_IN_SOLIDS = 0.6 * CACO3_MG_MEQ
"""Bicarbonate loses about half of itself on drying (Standard Methods 1030 E, from memory)."""
_RATIO_WEIGHT = 1.0 / 50.0


class IonRows:
    """Adds the rows on ions to a program."""

    def __init__(self, program: Program, setting: Setting) -> None:
        self.program = program
        self.setting = setting
        self.levels = {ion: ion_level(setting, ion) for ion in _SOLIDS}
        # What nobody states begins to count with the first dose that brings it.
        self.from_none = {ion: level or Level(0.0, 0.0) for ion, level in self.levels.items()}
        self.needs: list[Need] = []

    def add(self) -> None:
        """Add all rows."""
        self._ranges()
        self._calcium_of_the_mash()
        for ion, limit in self.setting.aims.hard.items():
            row, base = self._row(self.from_none[ion], ion)
            self.program.require(ion, row, high=let_pass(limit) - base, hard=True)
        self._solids()
        self._either_or()
        self._ratio()
        self._thinned_only()
        keep_to_needs(self.program, self.setting, self.needs)

    def _dosed(self, ion: str, factor: float = 1.0) -> dict[int, float]:
        """Return coefficients that give mg/L of an ion in all water."""
        litres = all_litres(self.setting.day)
        row: dict[int, float] = {}
        for (place, _), column in self.program.doses.items():
            amount = self.setting.stocks[place].ions_mg.get(ion, 0.0)
            if amount:
                row[column] = factor * amount / litres
        return row

    def _row(self, level: Level, ion: str, factor: float = 1.0) -> tuple[dict[int, float], float]:
        """Return coefficients and constant that give factor x mg/L of an ion in all water."""
        return self._with_share(self._dosed(ion, factor), level, factor)

    def _with_share(
        self, row: dict[int, float], level: Level, factor: float = 1.0
    ) -> tuple[dict[int, float], float]:
        return with_share(self.setting, self.program.share, row, level, factor)

    def _ranges(self) -> None:
        goal = self.setting.aims
        for ion, (low, high) in goal.wanted.items():
            row, base = self._row(self.from_none[ion], ion)
            accepted_low, accepted_high = goal.accepted[ion]
            if low is not None:
                self.needs.append(Need(dict(row), low - base))
            self.program.wish(
                ion,
                row,
                None if low is None else low - base,
                None if high is None else high - base,
                weight=1.0 / max(10.0, high or low or 10.0),
                tolerance=(
                    0.0 if low is None or accepted_low is None else low - accepted_low,
                    0.0 if high is None or accepted_high is None else accepted_high - high,
                ),
            )

    def _calcium_of_the_mash(self) -> None:
        """Wish for the calcium that yeast and mash like in the richer of the two waters."""
        least, whole = self.setting.aims.calcium_mg_l, self.levels.get("calcium")
        level = mash_level(self.setting, "calcium") if self.setting.day.is_mashed else whole
        if least is None or level is None or whole is None:
            return
        litres = mash_litres(self.setting.day)
        row = {
            column: self.setting.stocks[place].ions_mg.get("calcium", 0.0) / litres
            for (place, stage), column in self.program.doses.items()
            if stage == "mash"
        }
        row = {column: amount for column, amount in row.items() if amount}
        if whole.plain > level.plain or not self.setting.day.is_mashed:
            row, level = self._dosed("calcium"), whole
        row, base = self._with_share(row, level)
        least -= HALF_A_MILLIGRAM
        self.needs.append(Need(dict(row), least - base))
        self.program.wish("calcium", row, low=least - base, weight=1.0 / max(10.0, least))

    def _solids(self) -> None:
        day = self.setting.day
        liquor = day.liquor
        if liquor is None or liquor.alkalinity_meq_l is None:
            return
        plain = _ALKALINITY_IN_SOLIDS * liquor.alkalinity_meq_l.best
        thinned = -_ALKALINITY_IN_SOLIDS * day.source.alkalinity_meq_l.best
        row: dict[int, float] = {}
        for ion, level in self.levels.items():
            if level is None or ion not in liquor.ions_mg_l:
                continue
            plain += level.plain
            thinned += level.thinned
            for column, amount in self._dosed(ion).items():
                row[column] = row.get(column, 0.0) + amount
        for (place, _), column in self.program.doses.items():
            meq = self.setting.stocks[place].alkalinity_meq
            if meq:
                part = _ALKALINITY_IN_SOLIDS * meq / all_litres(day)
                row[column] = row.get(column, 0.0) + part
        row, base = self._with_share(row, Level(plain, thinned))
        limit = self.setting.aims.solids_mg_l
        self.program.require("dissolved solids", row, high=limit - base, hard=True)

    def _either_or(self) -> None:
        """Keep chloride and sulfate from being high together, and sodium beside high sulfate."""
        both = self.setting.aims.both_anions_mg_l
        pairs = [("chloride", both, "sulfate", both)]
        beside = self.setting.aims.sodium_beside_sulfate
        if beside is not None:
            pairs.append(("sodium", let_pass(beside[0]), "sulfate", let_pass(beside[1])))
        for first, first_limit, second, second_limit in pairs:
            one, two = self.from_none[first], self.from_none[second]
            which = self.program.add(1.0, whole=True)
            label = f"{first} and {second}"
            row, base = self._row(one, first)
            row[which] = -PLENTY_MG_L
            self.program.require(label, row, high=first_limit - base, hard=True)
            row, base = self._row(two, second)
            row[which] = PLENTY_MG_L
            high = second_limit - base + PLENTY_MG_L
            self.program.require(label, row, high=high, hard=True)

    def _ratio(self) -> None:
        """Wish for the sulfate to chloride of the style, unless too little of both to judge it."""
        ratio = self.setting.aims.ratio
        sulfate, chloride = self.levels.get("sulfate"), self.levels.get("chloride")
        if ratio is None or sulfate is None or chloride is None:
            return
        free = self._not_judged(sulfate, chloride)
        judged = self._judged(sulfate, chloride)
        for stated, sign in ((ratio[0], 1.0), (ratio[1], -1.0)):
            if stated is None:
                continue
            end = max(0.0, stated - sign * RATIO_SLACK)
            # sign (sulfate - end x chloride) + slack + plenty x (not judged) >= 0
            row, base = self._row(sulfate, "sulfate", sign)
            more, beside = self._row(chloride, "chloride", -sign * end)
            for column, amount in more.items():
                row[column] = row.get(column, 0.0) + amount
            low = -(base + beside)
            self.needs.append(Need(dict(row), low, max(1.0, end), judged))
            for column in free:
                row[column] = PLENTY_MG_L * max(1.0, end)
            self.program.wish("sulfate to chloride", row, low=low, weight=_RATIO_WEIGHT)

    def _not_judged(self, sulfate: Level, chloride: Level) -> list[int]:
        """Add two switches: both anions are low; there is next to no chloride."""
        low = self.program.add(1.0, whole=True)
        limit = self.setting.aims.ratio_from_mg_l - 0.1
        for ion, level in (("sulfate", sulfate), ("chloride", chloride)):
            row, base = self._row(level, ion)
            row[low] = PLENTY_MG_L
            self.program.require("ratio not judged", row, high=limit - base + PLENTY_MG_L)
        switches = [low]
        least = chloride.at(1.0 if self.setting.share is None else self.setting.share)
        if least < LEAST_CHLORIDE_MG_L:
            none = self.program.add(1.0, whole=True)
            row, base = self._row(chloride, "chloride")
            row[none] = PLENTY_MG_L
            high = LEAST_CHLORIDE_MG_L - 0.1 - base + PLENTY_MG_L
            self.program.require("ratio not judged", row, high=high)
            switches.append(none)
        return switches

    def _judged(
        self, sulfate: Level, chloride: Level
    ) -> tuple[tuple[dict[int, float], float], ...]:
        """Return rows of which one reaches its low end where the ratio is judged."""
        rows = (
            self._row(level, ion) for ion, level in (("sulfate", sulfate), ("chloride", chloride))
        )
        return tuple((row, self.setting.aims.ratio_from_mg_l - base) for row, base in rows)

    def _thinned_only(self) -> None:
        """Wish for limits that no dose reaches: traces, and alkalinity of an untreated sparge."""
        day = self.setting.day
        for ion, limit in self.setting.aims.traces.items():
            ceiling = let_pass(limit)
            source = day.source.mg_l(ion)
            amount = source + brought_mg(day, ion).best / all_litres(day)
            if amount <= ceiling:
                continue
            row, base = self._with_share({}, Level(amount, -source))
            self.program.wish(ion, row, high=ceiling - base, weight=1.0 / ceiling)
        sparge = day.sparge
        if not self.setting.sparge_bound or sparge is None or sparge.alkalinity_meq_l is None:
            return
        alkalinity = sparge.alkalinity_meq_l.best
        level = Level(alkalinity, -day.source.alkalinity_meq_l.best)
        row, base = self._with_share({}, level)
        most = self.setting.aims.sparge_meq_l
        self.program.wish("sparge alkalinity", row, high=most - base, weight=1.0)
