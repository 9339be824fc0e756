"""Gallons, pounds and degrees Fahrenheit where the file must hold litres, kilograms and Celsius.

One number says little: there are batches of 5 L, and strong mashes. So each supposition (all
volumes are gallons, all masses pounds, or both) is held to everything the recipe says, and the
finding counts how many independent signs agree.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import log
from typing import Any, NamedTuple

from recipe_tools.brewday import BrewDay, Wort, wort_without_hops
from recipe_tools.findings import Confidence, Example, Finding, Option, Related, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import PLAIN_RECIPE, SPARGE_STEP, malt, quantity, step
from recipe_tools.rules.verdicts import report
from recipe_tools.units import convert

_OWN = "derived_default"
_PLACE_OF = {"gallons": "litres", "pounds": "kilograms", "°F": "°C"}
_MEANT = {"gallons": convert("volume", 1.0, "gal"), "pounds": convert("mass", 1.0, "lb")}
_SUPPOSITIONS = (("gallons", "pounds"), ("gallons",), ("pounds",))
_HOT_F = (104.0, 212.0)
"""From 40 °C, the least a mash has, to boiling water."""


class _Sign(NamedTuple):
    """What speaks for a supposition: in words, and where it stands."""

    text: str
    pointers: tuple[str, ...]


_Verdict = tuple[bool | None, _Sign]
"""Whether a sign speaks for (True) or against (False) a supposition, or not at all (None)."""
_NOTHING: _Verdict = (None, _Sign("", ()))


def _in_us_units() -> Mapping[str, Any]:
    boil = {**PLAIN_RECIPE["boil"], "pre_boil_size": quantity(6.5, "l")}
    malts = [
        malt("Pale ale malt", 8.6, 2.8),
        malt("Light caramel malt", 0.4, 12.0, "caramel"),
        malt("Acidulated malt", 0.2, 2.0, "specialty"),
    ]
    sparge = {"amount": quantity(4.2, "l"), "step_temperature": quantity(168, "C")}
    steps = [step("Saccharification", "infusion", 3.4, 152), {**SPARGE_STEP, **sparge}]
    return {
        "batch_size": quantity(5.3, "l"),
        "boil": boil,
        "ingredients": {"fermentable_additions": malts},
        "mash": {"mash_steps": steps},
    }


@rule(
    Rule(
        id="recipe/us-units",
        severity=Severity.WARNING,
        summary="The file looks as if it held gallons, pounds or °F under metric units.",
        why="Every dose and every ion depends on litres and kilograms: with gallons in their place "
        "salts come out almost four times too strong.",
        source="1 US gal = 3.785 L, 1 lb = 0.4536 kg (NIST Handbook 44); usual mashes: common "
        "practice, from memory; tolerances derived_default",
        remedy="Export the recipe again in metric units, or convert all volumes, masses and "
        "temperatures in the file.",
        options={
            "signs": Option(2, "signs", "so many have to agree", _OWN),
            "certain_signs": Option(3, "signs", "from so many on there is no doubt", _OWN),
            "agrees": Option(30, "%", "how far a number may be off and agree", _OWN),
            "off": Option(70, "%", "how far it has to be off as the file is read", _OWN),
            "thickest": Option(1.8, "L/kg", "thickest usual mash", _OWN),
            "thinnest": Option(7.0, "L/kg", "thinnest usual mash", _OWN),
            "weakest": Option(1.025, "sg", "weakest usual wort", _OWN),
            "strongest": Option(1.15, "sg", "strongest wort, where none is stated", _OWN),
        },
        passes=Example("The plain recipe."),
        fails=Example("Five gallons, nine pounds and 152 °F.", _in_us_units()),
    )
)
def us_units(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Take the supposition for which most signs speak and none against."""
    hot = _fahrenheit(day)
    names: tuple[str, ...] = ()
    signs: list[_Sign] = []
    for supposed in _SUPPOSITIONS:
        agreeing = _agreeing(day, supposed, options)
        if len(agreeing) > len(signs):
            names, signs = supposed, agreeing
    if len(signs) + bool(hot) < options["signs"]:
        names, signs = (), []
    if hot:
        names, signs = (*names, "°F"), [*signs, hot[0]]
    if not signs:
        return
    certain = len(signs) >= options["certain_signs"] or names == ("°F",)
    places = dict.fromkeys(place for sign in (*signs, *hot) for place in sign.pointers)
    metric = [_PLACE_OF[name] for name in names]
    yield report(
        f"The file looks as if it held {_listed(names)} where {_listed(metric)} belong: "
        f"{'; '.join(sign.text for sign in signs)}",
        signs[0].pointers[0],
        confidence=Confidence.CERTAIN if certain else Confidence.LIKELY,
        severity=Severity.ERROR if certain else None,
        related=tuple(Related(place, "in the same units") for place in list(places)[1:]),
        value=", ".join(names),
        signs=[sign.text for sign in signs],
    )


def _listed(words: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def _agreeing(day: BrewDay, names: tuple[str, ...], options: Mapping[str, Any]) -> list[_Sign]:
    """Return the signs for a supposition; none where one speaks against it."""
    factors = {_PLACE_OF[name]: _MEANT[name] for name in names}
    words = " and ".join(names)
    thickness = _by_thickness(day, factors, words, options)
    if thickness[0] is False:
        return []
    other = wort_without_hops(day.recipe, **factors)
    verdicts = [
        thickness,
        _by_gravity(day, other, words, options),
        _by_colour(day, other, words, options),
    ]
    if any(speaks is False for speaks, _ in verdicts):
        return []
    return [sign for speaks, sign in verdicts if speaks]


def _by_thickness(
    day: BrewDay, factors: Mapping[str, float], words: str, options: Mapping[str, Any]
) -> _Verdict:
    read, mash = day.water_to_grist_l_kg, day.recipe.mash
    if read is None or day.mash is None or mash is None or not mash.steps:
        return _NOTHING
    meant = read * (factors.get("litres", 1.0) / factors.get("kilograms", 1.0))
    low, high = options["thickest"], options["thinnest"]
    text = (
        f"{day.mash.volume_l.best:.4g} L of mash water for {day.grist_kg:.4g} kg of grain are "
        f"{read:.1f} L/kg, as {words} {meant:.1f}"
    )
    speaks = False if not low <= meant <= high else None if low <= read <= high else True
    return speaks, _Sign(text, (mash.steps[0].origin.at("water_l"),))


def _by_gravity(day: BrewDay, other: Wort, words: str, options: Mapping[str, Any]) -> _Verdict:
    stated, read, meant = day.recipe.og, day.og, other.og
    if not read or not meant or min(read, meant) <= 1.0:
        return _NOTHING
    text = f"the grist gives a gravity of {read:.3f}, as {words} {meant:.3f}"
    places = (day.recipe.origin.at("batch_l"), day.recipe.origin.at("og"))
    if not stated or stated <= 1.0:
        usual = options["weakest"] <= meant <= options["strongest"]
        speaks = usual and read > options["strongest"]
        return speaks or (None if usual else False), _Sign(text, places[:1])
    sign = _Sign(f"{text}; {stated:.3f} is stated", places)
    return _nearer(stated - 1.0, read - 1.0, meant - 1.0, options), sign


def _by_colour(day: BrewDay, other: Wort, words: str, options: Mapping[str, Any]) -> _Verdict:
    stated, read, meant = day.recipe.colour_ebc, day.colour_ebc, other.colour_ebc
    if not stated or not read or not meant or min(stated, read, meant) <= 0.0:
        return _NOTHING
    text = f"the malts give {read:.0f} EBC, as {words} {meant:.0f}; {stated:.0f} are stated"
    sign = _Sign(text, (day.recipe.origin.at("colour_ebc"),))
    return _nearer(stated, read, meant, options) or None, sign


def _nearer(stated: float, read: float, meant: float, options: Mapping[str, Any]) -> bool | None:
    """Tell whether a stated number is what the supposition gives, and not what was read."""
    agrees, off = log(1.0 + options["agrees"] / 100.0), log(1.0 + options["off"] / 100.0)
    # A quotient of numbers at the ends of their range may be 0, whose logarithm there is none of.
    far, near = abs(log(stated) - log(read)), abs(log(stated) - log(meant))
    if near <= agrees and far >= off:
        return True
    return False if far <= near else None


def _fahrenheit(day: BrewDay) -> list[_Sign]:
    """Return the temperatures of the mash that cannot be degrees Celsius."""
    mash = day.recipe.mash
    if mash is None:
        return []
    low, high = _HOT_F
    hot = {
        place: number
        for place, number in day.recipe.left_out.items()
        if place.startswith(mash.origin.path) and "temp" in place.lower() and low <= number <= high
    }
    return [
        _Sign(
            f"{number:g} °C in the mash cannot be, {number:g} °F are {(number - 32) / 1.8:.0f} °C",
            (place,),
        )
        for place, number in hot.items()
    ]
