"""``recipe-tools water``: read a water report, check it, and answer what to do with the water."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.archive.discovery import shown
from recipe_tools.checking.checklist import catalogue
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import (
    CLEAN,
    FOUND,
    INCOMPLETE,
    say,
    wants_colour,
    write_out,
)
from recipe_tools.cli.shared import FAIL_ON
from recipe_tools.config import ConfigError, Options, find_config, load_config
from recipe_tools.findings import Severity, severity_from_word
from recipe_tools.reports.terminal import Ink, visible

if TYPE_CHECKING:
    from recipe_tools.water_advice.sheet import WaterSheet
    from recipe_tools.water_report import WaterReport

LOWEST_PH, HIGHEST_PH = 4.5, 9.0

EXAMPLE = """\
# A water report for `recipe-tools water FILE` and `recipe-tools check --water FILE`.
# Copy each figure with its unit and basis as the paper prints it; delete what it does not state.
# A span is written as "80 - 110 mg/L", a figure below detection as "< 0.05 mg/L", one that is not
# exact as "about 60 mg/L"; calcium_min, calcium_mean and calcium_max stand for columns of a table.
# Names as the paper prints them are read in many languages; those with blanks, accents or points
# need quotes: "Säurekapazität" = "2.7 mmol/L".

name = "Aldermoor, upper zone"
source = "Aldermoor water works, yearly summary"
date = "2024"
kind = "average"                      # "sample" for the analysis of one bottle

calcium = "62 mg/L"
magnesium = "9.5 mg/L"
sodium = "21 mg/L"
potassium = "3 mg/L"
chloride = "34 mg/L"
sulfate = "52 mg/L"                   # or "17.4 mg/L as SO4-S"
nitrate = "4.3 mg/L"                  # or "0.97 mg/L as NO3-N"
alkalinity = "135 mg/L as CaCO3"      # or "2.7 mmol/L" (acid capacity), "7.6 °dH"
# bicarbonate = "165 mg/L"            # where alkalinity is not stated
ph = "7.4 - 7.8"

chlorine = "0.4 mg/L"                 # as Cl2
chloramine = false                    # true where the works adds ammonia
# total_hardness = "10.9 °dH"         # where calcium and magnesium are not stated
# conductivity = "480 µS/cm"          # at 25 °C, or say conductivity_temperature = "20 °C"
# total_dissolved_solids = "290 mg/L"
# iron = "< 0.02 mg/L"
# end_point_ph = 4.3                  # of the titration of alkalinity; often 4.5
"""


def _volume(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    from recipe_tools.quantities import VOLUME, QuantityError, amount

    del ctx
    if value is None:
        return None
    try:
        litres = amount(value, VOLUME)
    except QuantityError as error:
        raise click.BadParameter(f"it {error}", param=param) from None
    if not 0.0 < litres <= 100_000.0:
        raise click.BadParameter("it is not between 0 and 100,000 L", param=param)
    return litres


def _to_ph(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    from recipe_tools.quantities import QuantityError, number

    del ctx
    if value is None:
        return None
    try:
        ph = number(value)
    except QuantityError as error:
        raise click.BadParameter(f"it {error}", param=param) from None
    if not LOWEST_PH <= ph <= HIGHEST_PH:
        raise click.BadParameter(f"it is not between {LOWEST_PH} and {HIGHEST_PH}", param=param)
    return ph


def _alkalinity(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    from recipe_tools.quantities import QuantityError
    from recipe_tools.water_report.units import alkalinity

    del ctx
    if value is None:
        return None
    try:
        return alkalinity(value).value.best
    except QuantityError as error:
        raise click.BadParameter(f"it {error}", param=param) from None


def _example(ctx: click.Context, param: click.Parameter, value: bool) -> None:
    del param
    if value and not ctx.resilient_parsing:
        write_out(EXAMPLE, machine=True)
        ctx.exit(CLEAN)


@click.command("water", cls=Manual)
@click.argument("file", metavar="FILE", type=click.Path())
@click.option(
    "--example",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_example,
    help="Print a report to fill in.",
)
@click.option("--volume", callback=_volume, metavar="V", help='Water to treat, such as "30 L".')
@click.option("--to-ph", callback=_to_ph, metavar="P", help="Acid that brings the water to a pH.")
@click.option(
    "--to-alkalinity",
    callback=_alkalinity,
    metavar="A",
    help='Pure water for an alkalinity, such as "25 mg/L as CaCO3".',
)
@click.option("--boiled", is_flag=True, help="What boiling beforehand leaves of it.")
@click.option("--lime", is_flag=True, help="What slaked lime leaves of it, and how much it takes.")
@click.option("--config", type=click.Path(dir_okay=False), help="Use this configuration.")
@click.option("--no-config", is_flag=True, help="Use no recipe-tools.toml.")
@click.option(
    "--format",
    "format_name",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="Form of the answer.",
)
@click.option(
    "--fail-on",
    type=click.Choice(FAIL_ON),
    default="warning",
    show_default=True,
    help="Least severity that gives exit code 1.",
)
@click.option(
    "--color",
    type=click.Choice(("auto", "always", "never")),
    default="auto",
    show_default=True,
    help="Colour in the text.",
)
def command(
    file: str,
    volume: float | None,
    to_ph: float | None,
    to_alkalinity: float | None,
    boiled: bool,
    lime: bool,
    config: str | None,
    no_config: bool,
    format_name: str,
    fail_on: str,
    color: str,
) -> int:
    """Read a water report (TOML), convert its units and check it.

    Says whether its ions balance, which limits of drinking water it passes, and how much sulfite
    takes out its chlorine; on request, acid to a pH, pure water for an alkalinity, and what boiling
    or slaked lime leaves.
    """
    from recipe_tools.water_advice.sheet import water_sheet

    if boiled and lime:
        raise click.UsageError("--boiled and --lime are two treatments: choose one.")
    report = _report(file)
    if report is None:
        return INCOMPLETE
    sheet = water_sheet(
        report,
        volume_l=volume,
        to_ph=to_ph,
        to_alkalinity_meq_l=to_alkalinity,
        treatment="boiled" if boiled else "lime" if lime else None,
        options=Options() if no_config else _options(file, config),
    )
    write_out(_rendered(sheet, format_name, color), machine=format_name == "json")
    return _code(sheet, fail_on)


def _report(file: str) -> WaterReport | None:
    """Read the report; None where the file cannot be read, which has been said.

    Raises click.UsageError for a file with wrong contents.
    """
    from recipe_tools.toml_in import TomlError, read_regular_file
    from recipe_tools.water_report import ReportError, report_from_bytes

    try:
        data = read_regular_file(Path(file))
    except TomlError as error:
        say(f"{file}: {error}")
        return None
    try:
        return report_from_bytes(data)
    except ReportError as error:
        raise click.UsageError(visible(f"{file}: {error}")) from None


def _options(file: str, config: str | None) -> Options:
    """Return the options of the configuration. Raises click.UsageError for one that is wrong."""
    path = find_config(Path(file)) if config is None else Path(config)
    if path is None:
        return Options()
    name = config or shown(str(path), Path.cwd(), absolute=False)
    try:
        return load_config(path, known_rules=catalogue(), shown_as=name)
    except ConfigError as error:
        raise click.UsageError(visible(str(error))) from None


def _rendered(sheet: WaterSheet, format_name: str, color: str) -> str:
    if format_name == "json":
        from recipe_tools.reports import water_json

        return water_json.render(sheet)
    from recipe_tools.reports import water_text

    return water_text.render(sheet, Ink(wants_colour(color)))


def _code(sheet: WaterSheet, fail_on: str) -> int:
    if fail_on == "never":
        return CLEAN
    least = severity_from_word(fail_on)
    found = any((item.severity or Severity.ERROR) >= least for item in sheet.findings)
    return FOUND if found else CLEAN
