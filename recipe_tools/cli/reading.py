"""``recipe-tools reading``: a measured mash, what it says and what goes in now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import (
    CLEAN,
    FOUND,
    INCOMPLETE,
    say,
)
from recipe_tools.cli.recipe_file import Given, RecipeFile, chosen, one_file_options
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.path_names import relative_to
from recipe_tools.readings.file import (
    EARLIEST_MINUTES,
    HIGHEST_PH,
    HOTTEST_CELSIUS,
    LOWEST_PH,
    ReadingsError,
)
from recipe_tools.reports.terminal import Ink, visible

if TYPE_CHECKING:
    from recipe_tools.archive.run_request import FileSettings
    from recipe_tools.measuring import MeasuredMash, Reading
    from recipe_tools.readings import KeptReading
    from recipe_tools.recipe import Addition, Recipe

_COLDEST_CELSIUS = 0.0
_DAY_MINUTES = 24.0 * 60.0


@click.command("reading", cls=Manual)
@click.argument("paths", metavar="[FILE]", nargs=-1, type=click.Path(path_type=Path))
@click.option("--ph", "ph", type=float, metavar="P", help="What the meter shows.")
@click.option(
    "--celsius",
    type=float,
    metavar="T",
    help="Temperature of the sample; without it a cooled one is supposed.",
)
@click.option("--minutes", type=float, metavar="M", help="Minutes after dough-in.")
@click.option(
    "--added",
    multiple=True,
    metavar="DOSE",
    help='What went into the mash before, beyond the recipe: "1.4 mL lactic acid 80 %".',
)
@click.option("--recipe", "wanted", metavar="N|NAME", help="Which recipe of the file.")
@click.option(
    "--target-ph",
    type=click.FloatRange(*WINDOW_PH),
    metavar="P",
    help="Mash pH to aim at, also inside the window.",
)
@click.option("--lot", "lots", multiple=True, metavar="MALT=LOT", help="The lot of a malt.")
@click.option(
    "--date",
    "day",
    type=click.DateTime(("%Y-%m-%d",)),
    metavar="DATE",
    help="Day of the mash; else --today.",
)
@click.option("--keep", is_flag=True, help="Remember the reading for later checks.")
@click.option("--list", "lists", is_flag=True, help="Show what was learnt so far.")
@click.option(
    "--from-recipes", is_flag=True, help="Look for a mash pH that recipes (PATH...) state."
)
@click.option(
    "--meant", is_flag=True, help="With --from-recipes: they were read; keep them as readings."
)
@one_file_options("json=mash.json", "Answer on standard output.")
@click.option(
    "--today",
    type=click.DateTime(("%Y-%m-%d",)),
    metavar="DATE",
    help="The day, as 2026-03-31; else that of the clock.",
)
def command(
    paths: tuple[Path, ...],
    ph: float | None,
    celsius: float | None,
    minutes: float | None,
    added: tuple[str, ...],
    wanted: str | None,
    target_ph: float | None,
    lots: tuple[str, ...],
    day: datetime | None,
    keep: bool,
    lists: bool,
    from_recipes: bool,
    meant: bool,
    today: datetime | None,
    given: Given,
) -> int:
    """Hold a measured mash pH against its prediction, and say what goes in now.

    Take a sample ten minutes after dough-in, cool it to room temperature, read it with a meter
    calibrated the same day. Exit code 1 where the mash is outside its window and cannot be brought
    there. --keep remembers the reading beside recipe-tools.toml: later predictions learn from it.
    """
    if lists:
        place = paths[0] if paths else Path("recipe")
        return _list(given.settings_for(place), given)
    day_now = (today or datetime.combine(date.today(), datetime.min.time())).date()
    if from_recipes:
        from recipe_tools.cli.stated_readings import collect

        dated = None if day is None else day.date()
        return collect(paths, given, meant=meant, day=dated)
    if meant:
        raise click.UsageError("--meant goes with --from-recipes.")
    if len(paths) != 1 or ph is None:
        raise click.UsageError("Name one recipe and what the meter shows: FILE --ph 5.62.")
    (file,) = paths
    _refuse(ph, celsius, minutes)
    in_force = given.settings_for(file)
    if keep and in_force.folder is None:
        raise click.UsageError(
            "--keep needs a recipe-tools.toml, beside which readings are kept; an empty file of "
            "that name in the folder of your recipes will do."
        )
    options = in_force.options
    source = RecipeFile.read(file, options)
    if source is None:
        return INCOMPLETE
    recipe = _one(chosen(source.result.recipes, wanted), wanted)
    reading = _reading(ph, celsius, minutes, added)
    dated = day_now if day is None else day.date()
    named = _lots(lots, recipe)

    from recipe_tools.measuring import measure

    kept = () if options.readings is None else options.readings.entries
    same = [item for item in kept if _is_of(item, in_force.path, recipe, dated)]
    measured = measure(recipe, options, reading, target_ph, same, named)
    if measured is None:
        say(f"{source.shown}: the mash pH of this recipe cannot be predicted; `check` says why.")
        return INCOMPLETE
    complete = given.deliver(
        lambda name, ink: _rendered(name, measured, source.shown, ink), "answer"
    )
    if keep:
        entry = _entry(measured, in_force.path, recipe, dated, added, named)
        complete &= keep_entry(entry, in_force)
    if not complete:
        return INCOMPLETE
    return CLEAN if measured.comes_right else FOUND


def _refuse(ph: float, celsius: float | None, minutes: float | None) -> None:
    """Raise click.UsageError for a reading no mash has."""
    if not LOWEST_PH <= ph <= HIGHEST_PH:
        raise click.UsageError(
            f"No mash reads pH {ph:g}: {LOWEST_PH:g} to {HIGHEST_PH:g} can be. Calibrate the meter."
        )
    if celsius is not None and not _COLDEST_CELSIUS <= celsius <= HOTTEST_CELSIUS:
        raise click.UsageError(
            f"A sample at {celsius:g} °C says nothing; cool it to room temperature and read again."
        )
    if minutes is not None and not EARLIEST_MINUTES <= minutes <= _DAY_MINUTES:
        raise click.UsageError(
            f"After {minutes:g} minutes the pH is not yet that of the mash; read at ten minutes."
            if minutes < EARLIEST_MINUTES
            else "--minutes counts from dough-in; a mash does not last longer than a day."
        )


def _one(recipes: Sequence[Recipe], wanted: str | None) -> Recipe:
    if len(recipes) > 1:
        what = "of that name" if wanted else "in the file"
        raise click.UsageError(f"There are {len(recipes)} recipes {what}: choose with --recipe N.")
    return recipes[0]


def _reading(
    ph: float, celsius: float | None, minutes: float | None, added: Sequence[str]
) -> Reading:
    from recipe_tools.measuring import Reading

    return Reading(ph, celsius, minutes, tuple(map(_addition, added)))


def _addition(text: str) -> Addition:
    """Return what was added to the mash: "1.4 mL lactic acid 80 %". Raises click.UsageError."""
    from recipe_tools.quantities import (
        MASS,
        VOLUME,
        QuantityError,
        amount_with_unit,
        is_measured_in,
        split,
    )
    from recipe_tools.recipe import Addition
    from recipe_tools.reference import recognise_agent

    said = f'--added {visible(text)}: write amount, unit and name, as "1.4 mL lactic acid 80 %".'
    first, _, rest = text.strip().partition(" ")
    unit, _, name = rest.strip().partition(" ")
    if not unit[:1].isalpha():
        unit, name = "", rest
    try:
        value, tail = split(f"{first} {unit}")
    except QuantityError:
        raise click.UsageError(said) from None
    name = name.strip()
    if recognise_agent(name, "") is None:
        raise click.UsageError(
            f"--added {visible(text)}: no salt, acid or base of that name is known."
        )
    made = Addition(name, kind="water agent", use="mash", amount=value, unit=tail)
    if tail and is_measured_in(tail, MASS):
        made = made._replace(mass_g=amount_with_unit(value, tail, MASS))
    elif tail and is_measured_in(tail, VOLUME):
        made = made._replace(volume_ml=1000.0 * amount_with_unit(value, tail, VOLUME))
    if (made.mass_g or made.volume_ml or 0.0) > 0.0:
        return made
    raise click.UsageError(said)


def _lots(lots: Sequence[str], recipe: Recipe) -> Mapping[str, str]:
    found: dict[str, str] = {}
    known = {item.name.casefold().strip(): item.name for item in recipe.fermentables}
    for text in lots:
        malt, equals, lot = text.rpartition("=")
        if not equals or not lot.strip():
            raise click.UsageError('--lot is written MALT=LOT, such as "Munich malt=17".')
        name = known.get(malt.casefold().strip())
        if name is None:
            names = ", ".join(visible(item.name) for item in recipe.fermentables)
            raise click.UsageError(f"--lot: no malt of the recipe is called so; there are {names}.")
        found[name] = lot.strip()
    return found


def _is_of(item: KeptReading, path: str, recipe: Recipe, day: date) -> bool:
    return (item.recipe, item.name, item.date) == (path, recipe.name, day.isoformat())


def _entry(
    measured: MeasuredMash,
    path: str,
    recipe: Recipe,
    day: date,
    added: Sequence[str],
    lots: Mapping[str, str],
) -> KeptReading:
    from recipe_tools.readings import KeptReading

    reading = measured.reading
    return KeptReading(
        recipe=path,
        name=recipe.name,
        date=day.isoformat(),
        mash_ph=reading.ph,
        expected=measured.expected,
        celsius=reading.celsius,
        minutes=reading.minutes,
        added=tuple(added),
        lots=dict(lots),
    )


def keep_entry(entry: KeptReading, in_force: FileSettings) -> bool:
    """Append a reading to its file; False where that was not done, which has been said."""
    from recipe_tools.editing.writing import NotWrittenError
    from recipe_tools.measuring.keeping import keep

    if in_force.folder is None:
        return False
    path = in_force.folder / in_force.options.readings_file
    shown = relative_to(path, Path.cwd())
    try:
        new = keep(path, entry, root=in_force.folder)
    except (NotWrittenError, ReadingsError) as error:
        say(f"{shown}: the reading was not kept: {error}.")
        return False
    say(f"{shown}: {'kept.' if new else 'this reading is there already.'}")
    return True


def _list(in_force: FileSettings, given: Given) -> int:
    readings = in_force.options.readings
    if readings is None:
        say("No readings are kept yet: `recipe-tools reading FILE --ph P --keep` keeps one.")
        return CLEAN
    from recipe_tools.reports import learnt_report

    complete = given.deliver(lambda name, ink: learnt_report.render(name, readings, ink), "report")
    return CLEAN if complete else INCOMPLETE


def _rendered(name: str, measured: MeasuredMash, shown: str, ink: Ink) -> str:
    if name == "json":
        from recipe_tools.reports import reading_json

        return reading_json.render(measured, shown)
    if name == "markdown":
        from recipe_tools.reports import reading_markdown

        return reading_markdown.render(measured, shown)
    if name == "html":
        from recipe_tools.reports import reading_html

        return reading_html.render(measured, shown)
    from recipe_tools.reports import reading_text

    return reading_text.render(measured, shown, ink)
