"""From the records of a BeerJSON document to `recipe.Recipe`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from recipe_tools.formats import beerjson_fields as fields
from recipe_tools.formats.beerjson_quantities import NO_AMOUNT
from recipe_tools.formats.fields import IONS, paths_of
from recipe_tools.note_additions import note_additions
from recipe_tools.recipe import (
    Addition,
    Culture,
    Fermentable,
    Hop,
    Mash,
    MashStep,
    Origin,
    Recipe,
    Style,
    WaterSource,
)
from recipe_tools.units import convert, meant_unit

DI_WATER_L_KG: Final = convert("specific_volume", 1.0, "gal/lb")
"""BeerJSON measures ``di_ph`` in a mash of 1 lb in 1 US gal."""

STAGES: Final[Mapping[str, str]] = {
    "mash": "mash",
    "boil": "boil",
    "kettle": "boil",
    "fermentation": "fermentation",
    "primary": "fermentation",
    "secondary": "fermentation",
    "package": "package",
    "packaging": "package",
    "bottling": "package",
    "bottle": "package",
    "keg": "package",
}
_USES: Final[Mapping[str, str]] = {
    **{word: "bottling" if stage == "package" else stage for word, stage in STAGES.items()},
    "fermentation": "primary",
    "primary": "primary",
    "secondary": "secondary",
}
_STANDS: Final = ("whirl", "stand", "steep", "flame", "knock")
_HOP_USES: Final = {"fermentation": "dry hop"}


class Surroundings:
    """What stands beside the recipes of a file, found by name where a recipe refers to it."""

    __slots__ = ("equipment", "fermentables", "miscellaneous", "profiles", "styles")

    def __init__(self, body: dict[str, Any], at: str = "") -> None:
        self.fermentables = _by_name(body, "fermentables", at)
        self.miscellaneous = _by_name(body, "miscellaneous_ingredients", at)
        self.styles = _by_name(body, "styles", at)
        self.profiles = _by_name(body, "profiles", at)
        sets = body.get("equipments")
        self.equipment: dict[str, Any] = (
            sets[0] if type(sets) is list and len(sets) == 1 and type(sets[0]) is dict else {}
        )


_NOTHING: Final[tuple[dict[str, Any], str]] = ({}, "")


def _by_name(body: dict[str, Any], key: str, at: str) -> Mapping[str, tuple[dict[str, Any], str]]:
    records = body.get(key)
    if type(records) is not list:
        return {}
    return {
        item["name"].strip().lower(): (item, f"{at}/{key}/{place}")
        for place, item in enumerate(records)
        if type(item) is dict and type(item.get("name")) is str
    }


def recipe(record: dict[str, Any], index: int, at: str, surroundings: Surroundings) -> Recipe:
    """Return the recipe of a record. ``at`` is its JSON pointer, ``index`` its place in the file.

    Equipment is not in it: it needs the volumes of the recipe (see `beerjson_equipment`).
    """
    boil = _object(record, "boil")
    ingredients = _object(record, "ingredients")
    inside = f"{at}/ingredients"
    style = record.get("style")
    mash_record = record.get("mash")
    notes = fields.text(record, "notes")
    efficiency = record.get("efficiency")
    if type(efficiency) is not dict:
        efficiency = {"brewhouse": efficiency} if efficiency is not None else {}
    return Recipe(
        index=index,
        name=fields.text(record, "name"),
        kind=fields.word(record, "type"),
        brewer=fields.text(record, "author"),
        date=fields.text(record, "created"),
        batch_l=fields.measured("volume", record, "batch_size", at),
        boil_l=fields.measured("volume", boil, "pre_boil_size", f"{at}/boil"),
        boil_min=fields.measured("time", boil, "boil_time", f"{at}/boil"),
        efficiency_percent=fields.measured("percent", efficiency, "brewhouse", f"{at}/efficiency"),
        og=fields.measured("gravity", record, "original_gravity", at),
        fg=fields.measured("gravity", record, "final_gravity", at),
        ibu=fields.measured(
            "bitterness", _object(record, "ibu_estimate"), "value", f"{at}/ibu_estimate"
        ),
        colour_ebc=fields.measured("colour", record, "color_estimate", at),
        abv_percent=fields.measured("percent", record, "alcohol_by_volume", at),
        carbonation_volumes=fields.bare(record, "carbonation", at),
        beer_ph=fields.measured("acidity", record, "beer_pH", at),
        style=_style(style, f"{at}/style", surroundings) if type(style) is dict else None,
        fermentables=tuple(
            _fermentable(item, f"{inside}/fermentable_additions/{place}", surroundings)
            for place, item in fields.records(ingredients, "fermentable_additions")
        ),
        hops=tuple(
            _hop(item, f"{inside}/hop_additions/{place}", boil)
            for place, item in fields.records(ingredients, "hop_additions")
        ),
        additions=(
            *(
                _addition(item, f"{inside}/miscellaneous_additions/{place}", surroundings)
                for place, item in fields.records(ingredients, "miscellaneous_additions")
            ),
            *note_additions(notes, Origin(f"{at}/notes")),
        ),
        cultures=tuple(
            _culture(item, f"{inside}/culture_additions/{place}")
            for place, item in fields.records(ingredients, "culture_additions")
        ),
        waters=tuple(
            _water_addition(item, f"{inside}/water_additions/{place}", surroundings)
            for place, item in fields.records(ingredients, "water_additions")
        ),
        mash=_mash(mash_record, f"{at}/mash") if type(mash_record) is dict else None,
        states_sparge=True,
        notes=notes,
        origin=Origin(at, paths_of("RECIPE")),
    )


def water(record: dict[str, Any], at: str) -> WaterSource:
    """Return a water of a recipe, or of the list of profiles beside the recipes."""
    ions = {}
    for ion in IONS:
        member = "flouride" if ion == "fluoride" else ion  # as the standard spells it
        if member in record:
            value = fields.measured("concentration", record, member, at)
            if value is not None:
                ions[ion] = value
    if "fluoride" in record and "fluoride" not in ions:
        value = fields.measured("concentration", record, "fluoride", at)
        if value is not None:
            ions["fluoride"] = value
    return WaterSource(
        name=fields.text(record, "name"),
        amount_l=fields.measured("volume", record, "amount", at),
        ions_mg_l=ions,
        ph=fields.measured("acidity", record, "pH" if "pH" in record else "ph", at),
        notes=fields.text(record, "notes"),
        origin=Origin(at, paths_of("WATER")),
    )


def _water_addition(record: dict[str, Any], at: str, surroundings: Surroundings) -> WaterSource:
    """Return a water of a recipe; its pH stands in the profile of its name, by the standard."""
    found = water(record, at)
    profile, profile_at = surroundings.profiles.get(found.name.strip().lower(), _NOTHING)
    if found.ph is not None or "pH" not in profile:
        return found
    ph = fields.measured("acidity", profile, "pH", profile_at)
    return found._replace(ph=ph, notes=found.notes or fields.text(profile, "notes"))


def _object(record: dict[str, Any], key: str) -> dict[str, Any]:
    value = record.get(key)
    return value if type(value) is dict else {}


def _fermentable(record: dict[str, Any], at: str, surroundings: Surroundings) -> Fermentable:
    amount = fields.weighed(record, "amount", at) or NO_AMOUNT
    share = _object(record, "yield")
    stage = _use(record, STAGES)
    name = fields.text(record, "name")
    known, known_at = surroundings.fermentables.get(name.strip().lower(), _NOTHING)
    # The standard has these for records only; files write them into the addition as well.
    di_ph = moisture = recommend = None
    if known or "di_ph" in record or "moisture" in record or "recommend_mash" in record:
        own = (record, at)
        di_ph_from = own if "di_ph" in record else (known, known_at)
        moisture_from = own if "moisture" in record else (known, known_at)
        di_ph = fields.measured("acidity", di_ph_from[0], "di_ph", di_ph_from[1])
        moisture = fields.measured("percent", moisture_from[0], "moisture", moisture_from[1])
        recommend = record.get("recommend_mash", known.get("recommend_mash"))
    return Fermentable(
        name=name,
        kind=fields.word(record, "type") or "grain",
        amount_kg=amount.mass_kg,
        volume_l=amount.volume_l,
        colour_ebc=fields.measured("colour", record, "color", at),
        yield_percent=_fine_grind(share, f"{at}/yield") if share else None,
        potential_sg=fields.measured("gravity", share, "potential", f"{at}/yield"),
        moisture_percent=moisture,
        stage=stage,
        recommend_mash=_flag(recommend),
        group=fields.word(record, "grain_group"),
        di_ph=di_ph,
        di_water_l_kg=DI_WATER_L_KG if di_ph is not None else None,
        notes=fields.text(record, "notes"),
        colour_scale=_colour_scale(record.get("color")),
        origin=Origin(at, paths_of("FERMENTABLE")),
    )


def _flag(value: Any) -> bool | None:
    if type(value) is str and value.strip().lower() in ("true", "false"):
        return value.strip().lower() == "true"
    return value if type(value) is bool else None


def _colour_scale(colour: Any) -> str:
    unit = colour.get("unit") if type(colour) is dict else None
    return meant_unit("colour", unit) or "" if type(unit) is str else ""


def _fine_grind(share: dict[str, Any], at: str) -> float | None:
    fine = fields.measured("percent", share, "fine_grind", at)
    if fine is not None or "coarse_grind" not in share:
        return fine
    coarse = fields.measured("percent", share, "coarse_grind", at)
    if coarse is None:
        return None
    # Without a stated difference the coarse grind stands in: 1 to 2 percent too low at most.
    return coarse + (fields.measured("percent", share, "fine_coarse_difference", at) or 0.0)


def _use(record: dict[str, Any], words: Mapping[str, str]) -> str | None:
    timing = record.get("timing")
    word = fields.text(timing, "use") if type(timing) is dict else fields.text(record, "use")
    if not word:
        return None
    plain = word.strip().lower().removeprefix("add_to_").replace("_", " ")
    return words.get(plain, plain)


def _minutes(record: dict[str, Any], at: str) -> float | None:
    timing = record.get("timing")
    if type(timing) is not dict:
        return None
    # "duration" is what other formats call the time of an addition; most files write "time".
    for key in ("duration", "time"):
        value = fields.measured("time", timing, key, f"{at}/timing")
        if value is not None:
            return value
    return None


def _hop(record: dict[str, Any], at: str, boil: dict[str, Any]) -> Hop:
    use = _use(record, _HOP_USES) or "boil"
    if use == "boil" and _stands(boil, fields.whole(_object(record, "timing"), "step")):
        use = "whirlpool"
    amount = fields.weighed(record, "amount", at) or NO_AMOUNT
    return Hop(
        name=fields.text(record, "name"),
        amount_kg=amount.mass_kg,
        alpha_percent=fields.measured("percent", record, "alpha_acid", at),
        use=use,
        time_min=_minutes(record, at),
        form=fields.word(record, "form"),
        origin=Origin(at, paths_of("HOP")),
    )


def _stands(boil: dict[str, Any], step: int | None) -> bool:
    """Tell whether a step of the boil, counted from 1, is a stand in hot wort by its name."""
    steps = boil.get("boil_steps")
    if step is None or type(steps) is not list or not 0 < step <= len(steps):
        return False
    name = steps[step - 1].get("name") if type(steps[step - 1]) is dict else None
    return type(name) is str and any(word in name.lower() for word in _STANDS)


def _addition(record: dict[str, Any], at: str, surroundings: Surroundings) -> Addition:
    amount = fields.weighed(record, "amount", at)
    found = amount or NO_AMOUNT
    name = fields.text(record, "name")
    known, _ = surroundings.miscellaneous.get(name.strip().lower(), _NOTHING)
    timing = _object(record, "timing")
    return Addition(
        name=name,
        kind=fields.word(record, "type") or "other",
        use=_use(record, _USES),
        step=fields.whole(timing, "step"),
        time_min=_minutes(record, at),
        amount=amount.value if amount is not None else None,
        unit=found.unit,
        mass_g=None if found.mass_kg is None else found.mass_kg * 1000.0,
        volume_ml=None if found.volume_l is None else found.volume_l * 1000.0,
        pieces=found.pieces,
        use_for=fields.text(record, "use_for") or fields.text(known, "use_for"),
        notes=fields.text(record, "notes") or fields.text(known, "notes"),
        origin=Origin(at, paths_of("MISC")),
    )


def _culture(record: dict[str, Any], at: str) -> Culture:
    amount = fields.weighed(record, "amount", at) or NO_AMOUNT
    return Culture(
        name=fields.text(record, "name"),
        kind=fields.word(record, "type"),
        amount_kg=amount.mass_kg,
        amount_l=amount.volume_l,
        attenuation_percent=fields.measured("percent", record, "attenuation", at),
        origin=Origin(at, paths_of("YEAST")),
    )


def _mash(record: dict[str, Any], at: str) -> Mash:
    steps = tuple(
        _step(item, f"{at}/mash_steps/{place}")
        for place, item in fields.records(record, "mash_steps")
    )
    sparges = (step.temperature_c for step in steps if step.kind == "sparge")
    return Mash(
        name=fields.text(record, "name"),
        grain_temperature_c=fields.measured("temperature", record, "grain_temperature", at),
        sparge_temperature_c=next(sparges, None),
        steps=steps,
        notes=fields.text(record, "notes"),
        origin=Origin(at, paths_of("MASH")),
    )


def _step(record: dict[str, Any], at: str) -> MashStep:
    return MashStep(
        name=fields.text(record, "name"),
        kind=fields.word(record, "type") or "infusion",
        water_l=fields.measured("volume", record, "amount", at),
        temperature_c=fields.measured("temperature", record, "step_temperature", at),
        time_min=fields.measured("time", record, "step_time", at),
        water_to_grist_l_kg=fields.measured("specific_volume", record, "water_grain_ratio", at),
        infuse_temperature_c=fields.measured("temperature", record, "infuse_temperature", at),
        start_ph=fields.measured("acidity", record, "start_ph", at),
        end_ph=fields.measured("acidity", record, "end_ph", at),
        origin=Origin(at, paths_of("MASH_STEP")),
    )


def _style(record: dict[str, Any], at: str, surroundings: Surroundings) -> Style:
    name = fields.text(record, "name")
    ranges, ranges_at = record, at
    if "original_gravity" not in record and "international_bitterness_units" not in record:
        ranges, ranges_at = surroundings.styles.get(name.strip().lower(), (record, at))
    return Style(
        name=name,
        category=fields.text(record, "category"),
        category_number=fields.text(record, "category_number"),
        letter=fields.text(record, "style_letter").strip(),
        guide=fields.text(record, "style_guide"),
        kind=fields.word(record, "type"),
        og=_range("gravity", ranges, "original_gravity", ranges_at),
        ibu=_range("bitterness", ranges, "international_bitterness_units", ranges_at),
        colour_ebc=_range("colour", ranges, "color", ranges_at),
        origin=Origin(at, paths_of("STYLE")),
    )


def _range(
    kind: str, record: dict[str, Any], key: str, at: str
) -> tuple[float | None, float | None]:
    ends = record.get(key)
    if type(ends) is not dict:
        return (None, None)
    inside = f"{at}/{key}"
    return (
        fields.measured(kind, ends, "minimum", inside),
        fields.measured(kind, ends, "maximum", inside),
    )
