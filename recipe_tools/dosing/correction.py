"""From a reading to what goes into the mash now, of what is on the shelf.

Two thirds first, then wait and read again, then the rest (common practice, no source). Acid for a
mash that is too high, baking soda or another base for one that is too low; never past a taste limit
or a safe range of an ion. Nothing where the reading lies in the window, unless another value is
asked for.
"""

from __future__ import annotations

from typing import NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.acids import left_behind
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.mash_input import MashInput
from recipe_tools.chemistry.mash_ph import ph_only
from recipe_tools.chemistry.measured_mash import anchored, band_after, protons_to
from recipe_tools.config import Options
from recipe_tools.dosing.advice import FIRST_SHARE
from recipe_tools.dosing.limits import Aims, aims
from recipe_tools.dosing.mash_balance import MashRows, mash_with
from recipe_tools.dosing.records import Stock
from recipe_tools.dosing.setting import all_litres
from recipe_tools.dosing.shelf import stocks
from recipe_tools.dosing.tastes import acid_of, beer_litres, present_mg, taste_limit, tasted_mg

DOSE_HALF_WIDTH = 0.04
"""Of an amount: syringe or scale, and the strength on the label (95 %, derived_default)."""
_SMALLEST_STEPS = 3


class Portion(NamedTuple):
    """One dose. amount: grams or millilitres of the stock. ph_after: with its 95 % band."""

    stock: Stock
    amount: float
    first: bool
    ph_after: Estimate


class Correction(NamedTuple):
    """What one agent of the shelf does for a mash.

    steps: in order; empty where a limit leaves no room. reaches: whether the target is met.
    why: in words, what stops it short (empty where nothing does).
    """

    stock: Stock
    target_ph: float
    steps: tuple[Portion, ...]
    reaches: bool
    why: str

    @property
    def ph_after(self) -> float | None:
        """The pH to be expected after all of it, None where nothing goes in."""
        return self.steps[-1].ph_after.best if self.steps else None


def corrections(
    day: BrewDay,
    options: Options,
    reading: Estimate,
    target_ph: float,
    buffer_half_width: float,
) -> tuple[Correction, ...]:
    """Return what each agent of the shelf could do, the one to take first in front.

    day: with a mash_input that holds what went in before the reading. reading: at 25 °C, with the
    width of meter and temperature. buffer_half_width: of the slope of the balance, as a share of
    it (95 %). Empty without a mash, or with nothing on the shelf that moves it the right way.
    """
    mash = day.mash_input
    if mash is None:
        return ()
    read = anchored(mash, reading.best)
    goal = aims(day, options)
    downwards = target_ph < reading.best
    found = [
        _of_stock(day, read, stock, reading, target_ph, goal, buffer_half_width)
        for stock in stocks(options, all_litres(day))
        if not stock.is_malt and (stock.is_acid if downwards else stock.is_base)
    ]
    return tuple(
        sorted(found, key=lambda item: (not item.reaches, item.stock.rank, item.stock.name))
    )


def _of_stock(
    day: BrewDay,
    read: MashInput,
    stock: Stock,
    reading: Estimate,
    target_ph: float,
    goal: Aims,
    buffer: float,
) -> Correction:
    rows = MashRows(day, read, 0.0)
    wanted = _steps_to(read, rows, stock, target_ph)
    room, limit = _room(day, stock, goal)
    count = min(wanted, room)
    portions: list[Portion] = []
    for steps, first in _parted(count):
        ph = ph_only(mash_with(read, day, 0.0, ((stock, float(steps)),)))
        half = 0.5 * (reading.high - reading.low)
        band = band_after(ph, ph - reading.best, half, buffer, DOSE_HALF_WIDTH)
        taken = steps - sum(round(item.amount / stock.step) for item in portions)
        portions.append(Portion(stock, round(taken * stock.step, 6), first, band))
    return Correction(
        stock, target_ph, tuple(portions), count == wanted, limit if count < wanted else ""
    )


def _steps_to(read: MashInput, rows: MashRows, stock: Stock, target_ph: float) -> int:
    """Return the steps that come nearest to the target without passing it."""
    missing = protons_to(read, target_ph)
    per_step = rows.per_step(stock, target_ph)
    if per_step == 0.0 or missing / per_step <= 0.0:
        return 0
    return int(missing / per_step + 1e-9)


def _parted(count: int) -> tuple[tuple[int, bool], ...]:
    """Return the steps after each portion, and whether it is the first of two."""
    if count <= 0:
        return ()
    if count < _SMALLEST_STEPS:
        return ((count, False),)
    return ((max(1, int(FIRST_SHARE * count + 1e-9)), True), (count, False))


def _room(day: BrewDay, stock: Stock, goal: Aims) -> tuple[int, str]:
    """Return how many steps a taste limit or a safe range leaves, and what would be passed."""
    litres = all_litres(day)
    most, said = 10**9, ""
    liquor = day.liquor
    for ion, milligrams in stock.ions_mg.items():
        ceiling = goal.hard.get(ion)
        level = None if liquor is None else liquor.ions_mg_l.get(ion)
        if ceiling is None or level is None or milligrams <= 0.0:
            continue
        room = int(max(0.0, (ceiling - level.best) * litres / milligrams) + 1e-9)
        if room < most:
            most, said = room, f"{ion} stops at its limit of {ceiling:.0f} mg/L"
    acid = acid_of(stock.agent)
    limit = taste_limit(acid, goal) if stock.is_acid else None
    if limit is not None:
        left = limit * beer_litres(day) - present_mg(day, acid)
        room = int(max(0.0, left) / tasted_mg(stock) + 1e-9)
        if room < most:
            most = room
            what = left_behind(acid)[0]
            said = f"{what} stops at its taste limit of {limit:.0f} mg/L of beer"
    return most, said
