"""Malt colours written in another scale than the file says: EBC as degrees Lovibond, or back.

The two differ by 2.7, which moves the colour of the beer only about twofold and the mash pH by
0.1 to 0.2. So it is not a tolerance that is tested but the supposition itself: would all numbers,
read in the other scale, agree with what else the recipe says?
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import log
from typing import Any

from recipe_tools.brewday import BrewDay, colour_with, mash_ph_with
from recipe_tools.findings import Confidence, Example, Finding, Option, Related, Rule, Severity
from recipe_tools.recipe import Fermentable
from recipe_tools.reference import recognise_malt, typical_ebc
from recipe_tools.rules import rule
from recipe_tools.rules.examples import malt, quantity
from recipe_tools.rules.sanity.styles import style_ranges
from recipe_tools.rules.verdicts import report
from recipe_tools.units import EBC_PER_SRM, colour_ebc, lovibond

_OWN = "derived_default"
_STATED = "and the recipe states"
_IMPOSSIBLE = "no malt is as dark as"
_ONE_COLOUR = (
    "base_pils",
    "base_pale",
    "vienna",
    "munich",
    "wheat",
    "roasted",
    "roasted_unmalted",
)
"""Classes of malt whose colours lie close together."""


_MARGIN = 0.2
"""How much nearer, as the logarithm of a ratio, one reading has to be (derived_default)."""
_SCALES = {"Lovi": "°Lovibond", "SRM": "SRM", "EBC": "EBC"}


def _example(unit: str) -> Mapping[str, Any]:
    malts = [malt("Pale ale malt", 3.6, 5), malt("Caramel malt", 0.4, 150, "caramel")]
    malts.append(malt("Roasted barley", 0.4, 1150, "roasted"))
    for item in malts:
        item["color"]["unit"] = unit
    return {
        "ingredients": {"fermentable_additions": malts},
        "color_estimate": quantity(60, "EBC"),
        "style": {"name": "Oatmeal Stout", "category_number": 16, "style_letter": "B"},
    }


@rule(
    Rule(
        id="recipe/malt-colour-scale",
        severity=Severity.WARNING,
        summary="The malt colours look as if they were in another scale than the file says.",
        why="A malt of 150 EBC is one of 57 °Lovibond. Colours decide how acid a malt is taken "
        "to be, so a wrong scale moves the predicted mash pH by 0.1 to 0.2.",
        source="SRM = 1.3546 °L - 0.76 and EBC = 1.97 SRM; Morey's equation; usual colours: "
        "table of malt classes; the darkest malts in trade have about 600 °L, from memory",
        remedy="Look up one malt on its data sheet and write all colours in the scale of the file: "
        "°Lovibond in BeerXML, the unit beside the number in BeerJSON.",
        options={
            "darkest": Option(700, "°Lovibond", "no malt is darker", _OWN),
            "agrees": Option(25, "%", "how far the colour of the beer may be off and agree", _OWN),
            "off": Option(45, "%", "how far it has to be off as the malts are written", _OWN),
            "palest": Option(
                20, "EBC", "beer below it proves no scale: formulas for colour differ twofold", _OWN
            ),
            "deepest": Option(
                78, "EBC", "stated colours end here: many scales stop at 40 SRM", _OWN
            ),
        },
        passes=Example("The same malts in EBC.", _example("EBC")),
        fails=Example("EBC written as °Lovibond.", _example("Lovi")),
        reference=("malt_model[typical_ebc!=](class,typical_ebc)",),
    )
)
def malt_colour_scale(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Read all colours in the other scale and hold both readings to the rest of the recipe."""
    grains = [item for item in day.recipe.fermentables if item.kind == "grain" and item.colour_ebc]
    dark = [item for item in grains if lovibond(item.colour_ebc or 0.0) > options["darkest"]]
    for scale in ("EBC", "Lovi"):
        others = [
            (item, other)
            for item in grains
            if (other := _otherwise(item, scale)) != item.colour_ebc
        ]
        if not others:
            continue
        missed, more = _missed(day, scale, options), list(_usual(others))
        if scale == "EBC" and dark:
            more.append(_too_dark(dark[0]))
        if not missed and not more:
            continue
        colours = [_otherwise(item, scale) for item in day.recipe.fermentables]
        beer = colour_with(day, colours)
        signs = [*_signs(day, beer, missed, options), *more]
        if signs and not _contradicted(day, beer):
            malts = [item for item, _ in others]
            yield _finding(day, malts, scale, mash_ph_with(day, colours), signs)
            return
    for item in dark:
        yield report(
            f"{_too_dark(item)}; the number may be EBC or a digit too long",
            item.origin.at("colour_ebc"),
            value=_written(item),
            unit=_SCALES.get(item.colour_scale, ""),
        )


def _written(item: Fermentable) -> float:
    """Return the colour as the file has it, in the scale of the file."""
    ebc = item.colour_ebc or 0.0
    return round({"Lovi": lovibond(ebc), "SRM": ebc / EBC_PER_SRM}.get(item.colour_scale, ebc), 1)


def _otherwise(item: Fermentable, scale: str) -> float | None:
    """Return the colour in EBC if the number were ``EBC``, or ``Lovi`` that was taken for EBC."""
    if not item.colour_ebc or not item.colour_scale:
        return item.colour_ebc
    if scale == "Lovi":
        return colour_ebc(item.colour_ebc, "Lovi")
    return _written(item)


def _contradicted(day: BrewDay, beer: float | None) -> bool:
    """Tell whether the stated colour is nearer to what the malts give as they were read."""
    stated, read = day.recipe.colour_ebc, day.colour_ebc
    if not stated or not read or not beer or min(stated, read, beer) <= 0:
        return False
    return abs(log(stated / read)) + _MARGIN < abs(log(stated / beer))


def _missed(day: BrewDay, scale: str, options: Mapping[str, Any]) -> list[tuple[float, float, str]]:
    """Return what the beer is far from as the file is read: the stated colour, or the style's.

    Lower and upper end in EBC, and in words. Without any, no other scale needs to be tried.
    """
    read, stated = day.colour_ebc, day.recipe.colour_ebc
    if not read or read <= 0 or (scale == "Lovi" and read < options["palest"]):
        return []
    if _amounts_doubtful(day):
        return []
    wanted = []
    if stated and stated > 0:
        if scale == "Lovi" or stated <= options["deepest"]:
            wanted = [(stated, stated, f"{_STATED} {stated:.0f}")]
    else:
        for item in style_ranges(day):
            if item.field == "colour_ebc":
                low, high = item.low or 0.0, item.high or 0.0
                wanted.append((low, high, f"and the style has {low:.0f} to {high:.0f}"))
    off = 1.0 + options["off"] / 100.0
    return [item for item in wanted if not item[0] / off <= read <= item[1] * off]


def _signs(
    day: BrewDay,
    beer: float | None,
    missed: Sequence[tuple[float, float, str]],
    options: Mapping[str, Any],
) -> Iterator[str]:
    """Yield what speaks for the other scale: what was missed, and is met by the beer it gives."""
    agrees = 1.0 + options["agrees"] / 100.0
    for low, high, words in missed:
        if beer and low / agrees <= beer <= high * agrees:
            gives = f"beer of {day.colour_ebc:.0f} EBC as read, {beer:.0f} in the other scale"
            yield f"they give {gives}, {words}"


def _amounts_doubtful(day: BrewDay) -> bool:
    """Tell whether the gravity is off as well: then it is grist or volume, not the colours."""
    stated, given = day.recipe.og, day.og
    if not stated or not given or min(stated, given) <= 1.0:
        return False
    return abs(log((stated - 1.0) / (given - 1.0))) > _MARGIN


def _usual(others: Sequence[tuple[Fermentable, float | None]]) -> Iterator[str]:
    """Yield a sign where malts of one usual colour are nearer to it in the other scale.

    others: the malts and their colours in it, in EBC.
    """
    read, other = [], []
    for item, colour in others:
        found = recognise_malt(item.name, item.kind)
        if found.sure and found.class_id in _ONE_COLOUR:
            usual = typical_ebc(found.class_id)
            read.append(log((item.colour_ebc or usual) / usual))
            other.append(log((colour or usual) / usual))
    if read and abs(sum(other)) + _MARGIN * len(read) < abs(sum(read)):
        yield "malts of these names usually have such colours in the other scale"


def _too_dark(item: Fermentable) -> str:
    shown = f"{_written(item):g} {_SCALES.get(item.colour_scale, '')}".strip()
    return f"{_IMPOSSIBLE} '{item.name}' of {shown}"


def _finding(
    day: BrewDay,
    malts: Sequence[Fermentable],
    scale: str,
    ph: float | None,
    signs: Sequence[str],
) -> Finding:
    impossible, stated = _IMPOSSIBLE in signs[-1], _STATED in signs[0]
    confidence = Confidence.POSSIBLE
    if impossible or stated or len(signs) > 1:
        confidence = Confidence.CERTAIN if impossible and len(signs) > 1 else Confidence.LIKELY
    numbers = ", ".join(f"{_written(item):g}" for item in malts[:4])
    more = " and more" if len(malts) > 4 else ""
    effect = ""
    if ph is not None and day.prediction is not None:
        effect = f"; the mash pH would be {ph:.2f}, not {day.prediction.ph:.2f}"
    darkest = max(malts, key=lambda item: item.colour_ebc or 0.0)
    read = _SCALES[darkest.colour_scale]
    meant = _SCALES[scale]
    if scale == "Lovi" and darkest.colour_scale != "EBC":
        meant += " taken for EBC and converted"
    return report(
        f"The malt colours {numbers}{more} were read as {read}, but look like {meant}: "
        f"{'; '.join(signs)}{effect}",
        darkest.origin.at("colour_ebc"),
        confidence=confidence,
        related=tuple(
            Related(item.origin.at("colour_ebc"), "a colour in the same scale")
            for item in malts
            if item is not darkest
        ),
        quantity="colour",
        value=_written(darkest),
        unit=read,
        looks_like=_SCALES[scale],
        signs=list(signs),
        mash_ph=None if day.prediction is None else round(day.prediction.ph, 2),
        mash_ph_otherwise=None if ph is None else round(ph, 2),
    )
