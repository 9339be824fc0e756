"""From the records of BeerXML to the neutral recipe.

The standard's own ambiguities are kept, not decided: an amount without AMOUNT_IS_WEIGHT has neither
mass nor volume, MASH.PH stays a pH of unknown meaning, a water record is neither source nor target.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from lxml import etree

from recipe_tools import recipe as model
from recipe_tools import units
from recipe_tools.findings import Severity
from recipe_tools.formats import beerxml_values as reading
from recipe_tools.formats.beerxml_crosschecks import (
    check_ranges,
    check_tun_weight,
    colour_ebc,
    colour_scale,
)
from recipe_tools.formats.beerxml_sets import Reading
from recipe_tools.formats.beerxml_settle import Measured
from recipe_tools.formats.fields import BOUNDS, IONS, tags_of
from recipe_tools.formats.notices import Notices
from recipe_tools.formats.numbers import written_number
from recipe_tools.note_additions import note_additions

_ESTIMATED = {"og": "EST_OG", "fg": "EST_FG", "abv_percent": "EST_ABV"}
_TEMPERATURES = (("MIN_TEMPERATURE", "MAX_TEMPERATURE"),)
_RANGES = tuple(
    (f"{name}_MIN", f"{name}_MAX") for name in ("OG", "FG", "IBU", "COLOR", "CARB", "ABV")
)
_MASHED = ("all grain", "partial mash")
_PIECES = frozenset(
    (
        *("item", "items", "each", "ea", "piece", "pieces", "pc", "pcs", "unit", "units", "count"),
        *("tablet", "tablets", "tab", "tabs", "pkg", "pkgs", "pack", "packs", "bottle", "bottles"),
        *("stk", "stück", "stueck", "tablette", "tabletten", "pièce", "pièces", "pieza", "piezas"),
        *("sztuka", "sztuki", "sztuk", "szt", "kus", "kusy", "ks", "stuk", "stuks", "шт"),
    )
)


def hop(state: Reading, element: etree._Element, path: str) -> model.Hop:
    """Return a HOP record."""
    get = reading.gather(element, reading.shape("HOP"), path, state.notices).get
    return model.Hop(
        name=_line(get("NAME")),
        amount_kg=get("AMOUNT"),
        alpha_percent=get("ALPHA"),
        use=get("USE") or "",
        time_min=get("TIME"),
        form=get("FORM") or "",
        origin=model.Origin(path, tags_of("HOP")),
    )


def fermentable(state: Reading, element: etree._Element, path: str) -> model.Fermentable:
    """Return a FERMENTABLE record."""
    values = reading.gather(element, reading.shape("FERMENTABLE"), path, state.notices)
    get = values.get
    kind = get("TYPE") or ""
    stated = get("COLOR") is not None
    return model.Fermentable(
        name=_line(get("NAME")),
        kind=kind,
        amount_kg=get("AMOUNT"),
        colour_ebc=colour_ebc(values, path, state.notices) if stated else None,
        yield_percent=get("YIELD"),
        potential_sg=get("POTENTIAL"),
        moisture_percent=get("MOISTURE"),
        stage="fermentation" if get("ADD_AFTER_BOIL") else None,
        recommend_mash=get("RECOMMEND_MASH"),
        notes=get("NOTES") or "",
        colour_scale=colour_scale(kind),
        origin=model.Origin(path, tags_of("FERMENTABLE")),
    )


def addition(state: Reading, element: etree._Element, path: str) -> model.Addition:
    """Return a MISC record; without AMOUNT_IS_WEIGHT its amount is neither mass nor volume.

    The standard knows no pieces. Where the text for showing says that they are meant, they are
    neither litres nor kilograms.
    """
    get = reading.gather(element, reading.shape("MISC"), path, state.notices).get
    amount, flag = get("AMOUNT"), get("AMOUNT_IS_WEIGHT")
    by_weight = flag
    if isinstance(amount, Measured):
        amount, by_weight = amount
        if flag is not None and flag is not by_weight:
            state.notices.add(
                "standard/number-with-unit",
                f"{path}/AMOUNT",
                field="MISC.AMOUNT_IS_WEIGHT",
                written=(said := "TRUE" if flag else "FALSE"),
                value=said,
                fault="against the unit of AMOUNT",
                outcome="the unit is believed",
            )
    shown = (get("DISPLAY_AMOUNT") or "").strip()
    in_pieces = amount is not None and counts_pieces(shown, amount)
    weighed = by_weight if amount is not None and not in_pieces else None
    thousandths = None if amount is None else amount * 1000.0
    return model.Addition(
        name=_line(get("NAME")),
        kind=get("TYPE") or "other",
        use=get("USE"),
        time_min=get("TIME"),
        amount=amount,
        unit="piece" if in_pieces else "" if weighed is None else "kg" if weighed else "L",
        mass_g=thousandths if weighed is True else None,
        volume_ml=thousandths if weighed is False else None,
        pieces=amount if in_pieces else None,
        is_weight=flag,
        display_amount=shown,
        use_for=(get("USE_FOR") or "").strip(),
        notes=get("NOTES") or "",
        origin=model.Origin(path, tags_of("MISC")),
    )


def counts_pieces(shown: str, amount: float) -> bool:
    """Tell whether the text for showing gives the same number with a word for pieces."""
    written = written_number(shown) if shown else None
    if written is None or written.unit.casefold().strip(".") not in _PIECES:
        return False
    return abs(written.value - amount) <= 0.01 * amount + 0.005


def culture(state: Reading, element: etree._Element, path: str) -> model.Culture:
    """Return a YEAST record."""
    values = reading.gather(element, reading.shape("YEAST"), path, state.notices)
    check_ranges("YEAST", _TEMPERATURES, values, path, state.notices)
    get = values.get
    amount, by_weight = get("AMOUNT"), get("AMOUNT_IS_WEIGHT")
    if isinstance(amount, Measured):
        amount, by_weight = amount
    return model.Culture(
        name=_line(get("NAME")),
        kind=get("TYPE") or "",
        amount_kg=amount if by_weight else None,
        amount_l=None if by_weight else amount,
        attenuation_percent=get("ATTENUATION"),
        origin=model.Origin(path, tags_of("YEAST")),
    )


def water(state: Reading, element: etree._Element, path: str) -> model.WaterSource:
    """Return a WATER record with the ions it states."""
    get = reading.gather(element, reading.shape("WATER"), path, state.notices).get
    tags = tags_of("WATER")
    ions = {ion: value for ion in IONS if ion in tags and (value := get(tags[ion][1:])) is not None}
    return model.WaterSource(
        name=_line(get("NAME")),
        amount_l=get("AMOUNT"),
        ions_mg_l=ions,
        ph=get("PH"),
        notes=get("NOTES") or "",
        origin=model.Origin(path, tags_of("WATER")),
    )


def step(state: Reading, element: etree._Element, path: str) -> model.MashStep:
    """Return a MASH_STEP record."""
    form = reading.shape("MASH_STEP")
    values = reading.gather(element, form, path, state.notices)
    get = values.get
    kind = get("TYPE") or ""
    if kind == "infusion" and "INFUSE_AMOUNT" not in values:
        reading.lacks(form, "INFUSE_AMOUNT", path, state.notices)
    return model.MashStep(
        name=_line(get("NAME")),
        kind=kind,
        water_l=get("INFUSE_AMOUNT"),
        temperature_c=get("STEP_TEMP"),
        time_min=get("STEP_TIME"),
        water_to_grist_l_kg=_displayed(get("WATER_GRAIN_RATIO"), "specific_volume"),
        infuse_temperature_c=_displayed(get("INFUSE_TEMP"), "temperature"),
        origin=model.Origin(path, tags_of("MASH_STEP")),
    )


def mash(state: Reading, element: etree._Element, path: str) -> model.Mash:
    """Return a MASH record with its steps in the order of the file."""
    values = reading.gather(element, reading.shape("MASH"), path, state.notices)
    get = values.get
    if get("TUN_WEIGHT") is not None:
        check_tun_weight(values, path, state.notices)
    steps = state.each(values, "MASH_STEPS", path, step)
    if not steps and "MASH_STEPS" in values:
        state.notices.lacks("MASH_STEPS", "MASH_STEP", f"{path}/MASH_STEPS", Severity.NOTE)
    return model.Mash(
        name=_line(get("NAME")),
        grain_temperature_c=get("GRAIN_TEMP"),
        sparge_temperature_c=get("SPARGE_TEMP"),
        ph=get("PH"),
        steps=steps,
        notes=get("NOTES") or "",
        origin=model.Origin(path, tags_of("MASH")),
    )


def style(state: Reading, element: etree._Element, path: str) -> model.Style:
    """Return a STYLE record; its colours from SRM to EBC."""
    values = reading.gather(element, reading.shape("STYLE"), path, state.notices)
    check_ranges("STYLE", _RANGES, values, path, state.notices)
    get = values.get
    palest, darkest = get("COLOR_MIN"), get("COLOR_MAX")
    return model.Style(
        name=_line(get("NAME")),
        category=_line(get("CATEGORY")),
        category_number=_line(get("CATEGORY_NUMBER")),
        letter=_line(get("STYLE_LETTER")),
        guide=_line(get("STYLE_GUIDE")),
        kind=get("TYPE") or "",
        og=(get("OG_MIN"), get("OG_MAX")),
        ibu=(get("IBU_MIN"), get("IBU_MAX")),
        colour_ebc=(
            None if palest is None else palest * units.EBC_PER_SRM,
            None if darkest is None else darkest * units.EBC_PER_SRM,
        ),
        origin=model.Origin(path, tags_of("STYLE")),
    )


def equipment(
    state: Reading, element: etree._Element, path: str, recipe: reading.Values | None = None
) -> model.Equipment:
    """Return an EQUIPMENT record; its sizes are compared with those of the recipe it stands in."""
    values = reading.gather(element, reading.shape("EQUIPMENT"), path, state.notices)
    get = values.get
    for tag in ("BATCH_SIZE", "BOIL_SIZE"):
        own, other = get(tag), recipe and recipe.get(tag)
        if own is not None and other is not None and abs(own - other) > 0.01 * max(own, other):
            state.notices.add(
                "standard/equipment-differs",
                f"{path}/{tag}",
                field=tag,
                value=float(f"{own:.4g}"),
                recipe_l=float(f"{other:.4g}"),
            )
    return model.Equipment(
        top_up_kettle_l=get("TOP_UP_KETTLE"),
        top_up_fermenter_l=get("TOP_UP_WATER"),
        trub_loss_l=get("TRUB_CHILLER_LOSS"),
        dead_space_l=get("LAUTER_DEADSPACE"),
        boil_off_percent_h=get("EVAP_RATE"),
        origin=model.Origin(path, tags_of("EQUIPMENT")),
    )


def recipe(state: Reading, element: etree._Element, path: str, index: int) -> model.Recipe:
    """Return a RECIPE record with everything in it."""
    form = reading.shape("RECIPE")
    values = reading.gather(element, form, path, state.notices)
    get = values.get
    kind = get("TYPE") or ""
    found_style = state.single(values, "STYLE", path)
    found_equipment = state.single(values, "EQUIPMENT", path)
    found_mash = state.single(values, "MASH", path)
    found = style(state, *found_style) if found_style else None
    if kind in _MASHED:
        if "EFFICIENCY" not in values:
            reading.lacks(form, "EFFICIENCY", path, state.notices)
        if found_mash is None:
            state.notices.lacks("RECIPE", "MASH", path, Severity.WARNING)
    stated, members = _stated(values)
    notes = get("NOTES") or ""
    return model.Recipe(
        index=index,
        name=_line(get("NAME")),
        kind=kind,
        brewer=_line(get("BREWER")),
        date=_line(get("DATE")),
        batch_l=get("BATCH_SIZE"),
        boil_l=get("BOIL_SIZE"),
        boil_min=get("BOIL_TIME"),
        efficiency_percent=get("EFFICIENCY"),
        og=stated["og"],
        fg=_final_gravity(stated["og"], stated["fg"], path + members["fg"], state.notices),
        ibu=get("IBU"),
        colour_ebc=_displayed(get("EST_COLOR"), "colour"),
        carbonation_volumes=get("CARBONATION"),
        abv_percent=stated["abv_percent"],
        style=found if found_style and len(found_style[0]) else None,
        equipment=equipment(state, *found_equipment, values) if found_equipment else None,
        fermentables=state.each(values, "FERMENTABLES", path, fermentable),
        hops=state.each(values, "HOPS", path, hop),
        additions=(
            *state.each(values, "MISCS", path, addition),
            *note_additions(notes, model.Origin(f"{path}/NOTES")),
        ),
        cultures=state.each(values, "YEASTS", path, culture),
        waters=state.each(values, "WATERS", path, water),
        mash=mash(state, *found_mash) if found_mash else None,
        notes=notes,
        origin=model.Origin(path, members),
    )


BUILDERS: Final[Mapping[str, Callable[[Reading, etree._Element, str], object]]] = {
    "HOP": hop,
    "FERMENTABLE": fermentable,
    "MISC": addition,
    "YEAST": culture,
    "WATER": water,
    "STYLE": style,
    "EQUIPMENT": equipment,
    "MASH": mash,
    "MASH_STEP": step,
}
"""What reads a record that stands beside the recipes, by its tag."""


def _stated(values: reading.Values) -> tuple[dict[str, float | None], Mapping[str, str]]:
    """Return gravities and alcohol, measured before estimated, with the tags they come from."""
    stated: dict[str, float | None] = {}
    members = tags_of("RECIPE")
    for field, estimate in _ESTIMATED.items():
        value = values.get(members[field][1:])
        if value is None and (text := values.get(estimate)) not in (None, ""):
            value = _displayed(text, "gravity") if isinstance(text, str) else text
            if value is not None:
                members = {**members, field: f"/{estimate}"}
        stated[field] = value
    return stated, members


def _final_gravity(og: float | None, fg: float | None, at: str, notices: Notices) -> float | None:
    """Return the final gravity; one above the original gravity can only be degrees Plato."""
    if og is None or fg is None or fg <= og + 0.002:
        return fg
    notices.add(
        "standard/gravity-not-sg",
        at,
        field="RECIPE.FG",
        written=f"{fg:g}",
        value=f"{fg:g}",
        reason="above the original gravity",
        scale="degrees Plato",
        read=f"{(read := units.specific_gravity(fg, 'plato')):.4f}",
    )
    return read


def _line(text: str | None) -> str:
    """Return a name as one line without blanks around it."""
    if not text:
        return ""
    return " ".join(text.split())


def _displayed(text: str | None, quantity: str) -> float | None:
    """Return the value of a text with a unit from Appendix A; None where it is not one."""
    if not text:
        return None
    written = written_number(text)
    if written is None:
        return None
    if not written.unit:
        low, high = BOUNDS["SG"]
        return written.value if quantity == "gravity" and low <= written.value <= high else None
    unit = units.meant_unit(quantity, written.unit)
    return None if unit is None else units.convert(quantity, written.value, unit)
