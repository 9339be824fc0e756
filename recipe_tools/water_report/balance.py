"""Do the charges of a water report add up, and which mix-up of units would explain a gap?

Limits of the balance are those of `chemistry.ions.charge_balance`: Standard Methods 1030 E for one
sample, wider ones of our own for an average over a year.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple

from recipe_tools.chemistry.ions import (
    CACO3_MG_MEQ,
    EQUIVALENT_MASS_MG_MEQ,
    ChargeBalance,
    charge_balance,
    hardness_meq_l,
)
from recipe_tools.reference.report_bases import bases, mg_per_mg

Kind = Literal["sample", "average"]
AlkalinityColumn = Literal["alkalinity", "bicarbonate", "carbonate", "none"]
Verdict = Literal["balanced", "nearly balanced", "unbalanced", "implausible", "incomplete"]

MAIN_CATIONS = ("calcium", "magnesium", "sodium")
MAIN_ANIONS = ("chloride", "sulfate")

CLOSED_PERCENT = 5.0
"""A reading closes a gap if it leaves at most this much (derived_default; a limit often used)."""

COPIED = 0.02
"""Two rows hold the same figure if they differ by no more than this part (derived_default)."""

_WORDS: Mapping[str, Verdict] = MappingProxyType(
    {
        "ok": "balanced",
        "note": "nearly balanced",
        "warning": "unbalanced",
        "implausible": "implausible",
    }
)


class Misreading(NamedTuple):
    """A mix-up of units that occurs in water reports.

    id, text: in words. columns: what was printed differently. factors: what the printed value of an
    ion is to be multiplied by. alkalinity_factor: the same for the alkalinity, which is printed in
    the column alkalinity_column. rare: thought of only after the common ones.
    """

    id: str
    text: str
    factors: Mapping[str, float] = MappingProxyType({})
    alkalinity_factor: float = 1.0
    alkalinity_column: AlkalinityColumn = "none"
    rare: bool = False


def _misreading(id_: str, text: str, **factors: float) -> Misreading:
    rare = not factors.keys() <= {"sulfate", "nitrate"}
    return Misreading(id_, text, MappingProxyType(factors), rare=rare)


_BASES = bases()
_HCO3 = EQUIVALENT_MASS_MG_MEQ["bicarbonate"]
_CO3 = EQUIVALENT_MASS_MG_MEQ["carbonate"]

_SULFUR = mg_per_mg("sulfate", _BASES["so4-s"])
_NITROGEN = mg_per_mg("nitrate", _BASES["no3-n"])
_CALCIUM = mg_per_mg("calcium", _BASES["caco3"])
_MAGNESIUM = mg_per_mg("magnesium", _BASES["caco3"])

MISREADINGS: tuple[Misreading, ...] = (
    _misreading("sulfate-as-sulfur", "the sulfate is printed as sulfur (SO4-S)", sulfate=_SULFUR),
    _misreading(
        "nitrate-as-nitrogen", "the nitrate is printed as nitrogen (NO3-N)", nitrate=_NITROGEN
    ),
    _misreading(
        "sulfate-as-sulfur-and-nitrate-as-nitrogen",
        "sulfate and nitrate are printed as sulfur and nitrogen (SO4-S, NO3-N)",
        sulfate=_SULFUR,
        nitrate=_NITROGEN,
    ),
    Misreading(
        "carbonate-printed-as-bicarbonate",
        "the bicarbonate column holds carbonate (CO3)",
        alkalinity_factor=_HCO3 / _CO3,
        alkalinity_column="bicarbonate",
    ),
    Misreading(
        "alkalinity-printed-as-bicarbonate",
        "the bicarbonate column holds alkalinity as CaCO3",
        alkalinity_factor=_HCO3 / CACO3_MG_MEQ,
        alkalinity_column="bicarbonate",
    ),
    Misreading(
        "bicarbonate-printed-as-carbonate",
        "the carbonate column holds bicarbonate (HCO3)",
        alkalinity_factor=_CO3 / _HCO3,
        alkalinity_column="carbonate",
    ),
    Misreading(
        "bicarbonate-printed-as-alkalinity",
        "the alkalinity is printed as bicarbonate, not as CaCO3",
        alkalinity_factor=CACO3_MG_MEQ / _HCO3,
        alkalinity_column="alkalinity",
    ),
    _misreading(
        "hardness-columns-as-caco3",
        "calcium and magnesium are printed as CaCO3",
        calcium=_CALCIUM,
        magnesium=_MAGNESIUM,
    ),
    _misreading("calcium-as-caco3", "the calcium is printed as CaCO3", calcium=_CALCIUM),
    _misreading("magnesium-as-caco3", "the magnesium is printed as CaCO3", magnesium=_MAGNESIUM),
    _misreading(
        "hardness-columns-as-oxides",
        "calcium and magnesium are printed as oxides (CaO, MgO)",
        calcium=mg_per_mg("calcium", _BASES["cao"]),
        magnesium=mg_per_mg("magnesium", _BASES["mgo"]),
    ),
    _misreading(
        "chloride-as-salt",
        "the chloride is printed as sodium chloride",
        chloride=mg_per_mg("chloride", _BASES["nacl"]),
    ),
)


class Closing(NamedTuple):
    """A misreading that would close the gap, with the difference it leaves in percent.

    whole: what it leaves is no more than one sample may show.
    """

    misreading: Misreading
    difference_percent: float
    whole: bool = True


class Balance(NamedTuple):
    """Sums in mEq/L, the difference in percent of their total, and what to make of it.

    verdict: in words; ``incomplete`` where ions that nobody stated can explain the gap.
    missing: main ions without a value. closings: mix-ups that would close the gap, best first.
    """

    cations_meq_l: float
    anions_meq_l: float
    difference_percent: float
    verdict: Verdict
    explanation: str
    missing: tuple[str, ...] = ()
    closings: tuple[Closing, ...] = ()


def closing_misreadings(
    ions_mg_l: Mapping[str, float],
    alkalinity_meq_l: float,
    *,
    alkalinity_column: AlkalinityColumn = "bicarbonate",
    with_basis: Collection[str] = (),
) -> tuple[Closing, ...]:
    """Return the mix-ups, one at a time, that would bring a gap down to `CLOSED_PERCENT`.

    with_basis: columns whose basis the report states itself. The common mix-ups come first, then
    the smaller remaining difference; empty where nothing closes the gap.
    """
    before = abs(_balance(ions_mg_l, alkalinity_meq_l, "sample").difference_percent)
    found = []
    for misreading in MISREADINGS:
        if not _applies(misreading, ions_mg_l, alkalinity_column, with_basis):
            continue
        read = {ion: amount * misreading.factors.get(ion, 1.0) for ion, amount in ions_mg_l.items()}
        alkalinity = alkalinity_meq_l * misreading.alkalinity_factor
        result = _balance(read, alkalinity, "sample")
        after = result.difference_percent
        if abs(after) <= CLOSED_PERCENT and abs(after) < before / 2.0:
            found.append(Closing(misreading, after, result.verdict == "ok"))
    copied = _copied_hardness(ions_mg_l, alkalinity_meq_l, alkalinity_column)
    if copied is not None:
        found.append(copied)
    return tuple(sorted(found, key=_rank))


def _copied_hardness(
    ions_mg_l: Mapping[str, float], alkalinity_meq_l: float, column: AlkalinityColumn
) -> Closing | None:
    """Return the misreading that the alkalinity was copied from the row of the total hardness.

    It is thought of where the two figures are the same and less alkalinity would close the gap.
    """
    if column not in ("alkalinity", "bicarbonate") or not {"calcium", "magnesium"} <= set(
        ions_mg_l
    ):
        return None
    hardness = hardness_meq_l(ions_mg_l)
    figure = hardness * (CACO3_MG_MEQ / _HCO3 if column == "bicarbonate" else 1.0)
    same = any(abs(alkalinity_meq_l - one) <= COPIED * one for one in (hardness, figure))
    sums = _balance(ions_mg_l, alkalinity_meq_l, "sample")
    needed = alkalinity_meq_l + sums.cations_meq_l - sums.anions_meq_l
    if not same or not 0.0 <= needed < alkalinity_meq_l:
        return None
    text = f"the {column} is the total hardness, copied ({needed:.2f} mEq/L would close the gap)"
    return Closing(Misreading("hardness-copied-as-alkalinity", text), 0.0)


def balance(
    ions_mg_l: Mapping[str, float],
    alkalinity_meq_l: float,
    *,
    kind: Kind = "sample",
    alkalinity_column: AlkalinityColumn = "bicarbonate",
    with_basis: Collection[str] = (),
) -> Balance:
    """Judge the charges of a report.

    ions_mg_l: what is stated; an ion without a key is missing, not zero. alkalinity_column: where
    the alkalinity was printed, ``none`` where it is not stated at all.
    """
    result = _balance(ions_mg_l, alkalinity_meq_l, kind)
    missing = tuple(ion for ion in (*MAIN_CATIONS, *MAIN_ANIONS) if ion not in ions_mg_l)
    if alkalinity_column == "none":
        missing = (*missing, "alkalinity")
    if result.verdict == "ok":
        return _made(result, "balanced", _said_balanced(result, kind), missing)
    closings = closing_misreadings(
        ions_mg_l, alkalinity_meq_l, alkalinity_column=alkalinity_column, with_basis=with_basis
    )
    lacking = [ion for ion in missing if _could_close(ion, result)]
    if lacking:
        return _made(result, "incomplete", _said_incomplete(result, lacking), missing)
    explanation = _said_gap(result, closings)
    return _made(result, _WORDS[result.verdict], explanation, missing, closings)


def _balance(ions_mg_l: Mapping[str, float], alkalinity: float, kind: Kind) -> ChargeBalance:
    return charge_balance(ions_mg_l, alkalinity_meq_l=alkalinity, kind=kind)


def _rank(closing: Closing) -> tuple[bool, float]:
    return closing.misreading.rare, abs(closing.difference_percent)


def _applies(
    misreading: Misreading,
    ions_mg_l: Mapping[str, float],
    alkalinity_column: AlkalinityColumn,
    with_basis: Collection[str],
) -> bool:
    if misreading.alkalinity_column != "none":
        column = misreading.alkalinity_column
        return column == alkalinity_column and column not in with_basis
    return all(
        ion not in with_basis and ions_mg_l.get(ion, 0.0) > 0.0 for ion in misreading.factors
    )


def _could_close(ion: str, result: ChargeBalance) -> bool:
    """Whether more of this ion would make the gap smaller."""
    if ion in MAIN_CATIONS:
        return result.difference_percent < 0.0
    return result.difference_percent > 0.0


def _made(
    result: ChargeBalance,
    verdict: Verdict,
    explanation: str,
    missing: tuple[str, ...],
    closings: tuple[Closing, ...] = (),
) -> Balance:
    return Balance(
        result.cations_meq_l,
        result.anions_meq_l,
        result.difference_percent,
        verdict,
        explanation,
        missing,
        closings,
    )


def _said_balanced(result: ChargeBalance, kind: Kind) -> str:
    what = "one sample" if kind == "sample" else "a yearly average"
    return (
        f"Cations and anions agree within {abs(result.difference_percent):.1f} %, "
        f"as they should for {what}."
    )


def _surplus(result: ChargeBalance) -> str:
    more, less = ("cations", "anions") if result.difference_percent > 0 else ("anions", "cations")
    gap = abs(result.cations_meq_l - result.anions_meq_l)
    percent = abs(result.difference_percent)
    return f"There are {gap:.2f} mEq/L ({percent:.1f} %) more {more} than {less}"


def _said_incomplete(result: ChargeBalance, lacking: list[str]) -> str:
    text = f"{_surplus(result)}, and the report does not state {_listed(lacking)}."
    equivalent = EQUIVALENT_MASS_MG_MEQ.get(lacking[0])
    if len(lacking) == 1 and equivalent is not None:
        needed = abs(result.cations_meq_l - result.anions_meq_l) * equivalent
        return f"{text} About {needed:.0f} mg/L of it would close the gap."
    return f"{text} Whether the rest adds up cannot be told."


def _said_gap(result: ChargeBalance, closings: tuple[Closing, ...]) -> str:
    text = f"{_surplus(result)}."
    if not closings:
        return (
            f"{text} No usual mix-up of units explains it; compare the figures with the original."
        )
    ways = []
    for whole, word in ((True, "close"), (False, "nearly close")):
        readings = " or ".join(
            f"{closing.misreading.text} (leaves {abs(closing.difference_percent):.1f} %)"
            for closing in closings[:3]
            if closing.whole is whole
        )
        if readings:
            ways.append(f"{word} if {readings}")
    return f"{text} It would {', or '.join(ways)}."


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
