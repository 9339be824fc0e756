"""The closed unit lists of BeerJSON 1.0 and their conversion into the units of `recipe`.

Every quantity of BeerJSON is an object ``{"unit": word, "value": number}`` and each kind of
quantity has a short closed list of unit words. `BEERJSON_FACTORS` turns a listed word into the one
unit this project keeps for that quantity by a single multiplication; temperatures, colours and
gravities need a formula and have one in `convert`. The tests compare every row with pint.

Definitions
- US customary volumes: NIST Handbook 44, Appendix C (US gallon = 231 cubic inches = 3.785411784 L).
- Imperial volumes: UK Weights and Measures Act 1985 (gallon = 4.54609 L).
- pound and ounce: NIST Handbook 44, Appendix C (pound = 0.45359237 kg exactly).
- barrel: a barrel of beer, 31 US gallons (27 CFR 25.11) or 36 imperial gallons.
- calorie: thermochemical, 4.184 J; BTU: International Table, 2.326 kJ/kg per BTU/lb.
- carbonation: 1 volume is 44.0095 g/mol in 22.414 L/mol, that is 1.9635 g/L.
- colour: SRM = 1.3546 x Lovibond - 0.76 (from memory); EBC = 1.97 SRM (ASBC Beer-10 and EBC 9.6
  read the same absorbance at 430 nm with factors 12.7 and 25).
- ppm and ppb: per litre of dilute water (1.00 kg/L), the convention of water reports.
- diastatic power: degrees Lintner = (WK + 16) / 3.5.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

EBC_PER_SRM: Final = 1.97
SRM_PER_LOVIBOND: Final = 1.3546
SRM_AT_ZERO_LOVIBOND: Final = -0.76
GRAMS_CO2_PER_VOLUME: Final = 44.0095 / 22.414

_US_GALLON_L = 3.785411784
_IMPERIAL_GALLON_L = 4.54609
_POUND_KG = 0.45359237
_CUBIC_FOOT_L = 28.316846592

BEERJSON_FACTORS: Final[Mapping[str, Mapping[str, float]]] = MappingProxyType(
    {
        "volume": {
            "ml": 0.001,
            "l": 1.0,
            "tsp": _US_GALLON_L / 768,
            "tbsp": _US_GALLON_L / 256,
            "floz": _US_GALLON_L / 128,
            "cup": _US_GALLON_L / 16,
            "pt": _US_GALLON_L / 8,
            "qt": _US_GALLON_L / 4,
            "gal": _US_GALLON_L,
            "bbl": _US_GALLON_L * 31,
            "ifloz": _IMPERIAL_GALLON_L / 160,
            "ipt": _IMPERIAL_GALLON_L / 8,
            "iqt": _IMPERIAL_GALLON_L / 4,
            "igal": _IMPERIAL_GALLON_L,
            "ibbl": _IMPERIAL_GALLON_L * 36,
        },
        "mass": {
            "mg": 1e-6,
            "g": 1e-3,
            "kg": 1.0,
            "lb": _POUND_KG,
            "oz": _POUND_KG / 16,
        },
        "time": {"sec": 1 / 60, "min": 1.0, "hr": 60.0, "day": 1440.0, "week": 10080.0},
        "concentration": {"ppm": 1.0, "ppb": 0.001, "mg/l": 1.0},
        "specific_volume": {
            "qt/lb": _US_GALLON_L / 4 / _POUND_KG,
            "gal/lb": _US_GALLON_L / _POUND_KG,
            "gal/oz": _US_GALLON_L / (_POUND_KG / 16),
            "l/g": 1000.0,
            "l/kg": 1.0,
            "floz/oz": _US_GALLON_L / 128 / (_POUND_KG / 16),
            "m^3/kg": 1000.0,
            "ft^3/lb": _CUBIC_FOOT_L / _POUND_KG,
        },
        "specific_heat": {"Cal/(g C)": 4184.0, "J/(kg K)": 1.0, "BTU/(lb F)": 4186.8},
        "pressure": {"kPa": 1.0, "psi": 6.894757293168361, "bar": 100.0},
        "viscosity": {"cP": 1.0, "mPa-s": 1.0},
        "carbonation": {"vols": 1.0, "g/l": 1 / GRAMS_CO2_PER_VOLUME},
        "bitterness": {"IBUs": 1.0},
        "acidity": {"pH": 1.0},
        "percent": {"%": 1.0},
        "count": {"1": 1.0, "unit": 1.0, "each": 1.0, "dimensionless": 1.0, "pkg": 1.0},
    }
)
"""Factor by quantity and unit word; the units it leads to are those of `convert`."""

BEERJSON_FORMULAS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "temperature": ("C", "F"),
        "colour": ("EBC", "Lovi", "SRM"),
        "gravity": ("sg", "plato", "brix"),
        "diastatic_power": ("Lintner", "WK"),
    }
)
"""Unit words of the quantities that need more than a factor."""

_WORDS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "volume": {
        "ml": ("milliliter", "milliliters", "millilitre", "millilitres", "mls", "cc"),
        "l": ("liter", "liters", "litre", "litres", "ltr"),
        "tsp": ("teaspoon", "teaspoons", "tsps"),
        "tbsp": ("tablespoon", "tablespoons", "tblsp", "tbsps"),
        "floz": ("fl oz", "fl. oz", "fl. oz.", "fl_oz", "fluid ounce", "fluid ounces"),
        "cup": ("cups",),
        "pt": ("pint", "pints", "pts"),
        "qt": ("quart", "quarts", "qts"),
        "gal": ("gallon", "gallons", "gals", "us gal", "us gallon", "us gallons"),
        "bbl": ("barrel", "barrels", "bbls"),
        "ifloz": ("imp fl oz", "imperial fluid ounce", "imperial fluid ounces"),
        "ipt": ("imp pt", "imperial pint", "imperial pints"),
        "iqt": ("imp qt", "imperial quart", "imperial quarts"),
        "igal": ("imp gal", "imperial gallon", "imperial gallons", "uk gal", "uk gallon"),
        "ibbl": ("imp bbl", "imperial barrel", "imperial barrels"),
    },
    "mass": {
        "mg": ("milligram", "milligrams", "milligramme", "milligrammes", "mgs"),
        "g": ("gram", "grams", "gramme", "grammes", "gm", "gms"),
        "kg": ("kilogram", "kilograms", "kilogramme", "kilogrammes", "kilo", "kilos", "kgs"),
        "lb": ("pound", "pounds", "lbs"),
        "oz": ("ounce", "ounces", "ozs"),
    },
    "time": {
        "sec": ("second", "seconds", "secs", "s"),
        "min": ("minute", "minutes", "mins"),
        "hr": ("hour", "hours", "hrs", "h"),
        "day": ("days", "d"),
        "week": ("weeks", "wk", "wks"),
    },
    "temperature": {
        "C": ("°c", "celsius", "centigrade", "deg c", "degc", "degrees c", "degrees celsius"),
        "F": ("°f", "fahrenheit", "deg f", "degf", "degrees f", "degrees fahrenheit"),
    },
    "colour": {"EBC": ("°ebc",), "Lovi": ("lovibond", "°l", "l", "°lovibond"), "SRM": ("°srm",)},
    "gravity": {
        "sg": ("specific gravity", "specific_gravity"),
        "plato": ("°p", "p", "°plato", "degrees plato"),
        "brix": ("°bx", "bx", "°brix", "degrees brix"),
    },
    "concentration": {
        "ppm": ("parts per million",),
        "ppb": ("parts per billion", "ug/l", "µg/l", "μg/l"),
        "mg/l": ("mg / l", "mg/liter", "mg/litre", "mgl", "mg l-1"),
    },
    "specific_volume": {
        "qt/lb": ("qts/lb", "quarts/pound", "quart/pound"),
        "l/kg": ("liter/kilogram", "litre/kilogram", "liters/kg", "litres/kg"),
        "gal/lb": ("gallon/pound", "gallons/pound"),
    },
    "percent": {"%": ("percent", "pct", "per cent")},
    "acidity": {"pH": ()},
    "bitterness": {"IBUs": ("ibu",)},
    "carbonation": {"vols": ("vol", "volumes", "volumes co2"), "g/l": ("g/liter", "g/litre")},
    "count": {
        "each": ("ea", "item", "items", "piece", "pieces", "tablet", "tablets"),
        "unit": ("units",),
        "pkg": ("package", "packages", "pkgs", "packet", "packets", "pack", "packs", "sachet"),
        "dimensionless": (),
        "1": (),
    },
    "pressure": {"kPa": ("kilopascal",), "psi": (), "bar": ()},
    "viscosity": {"cP": ("centipoise",), "mPa-s": ("mpa s", "mpa·s", "mpas")},
    "specific_heat": {
        "Cal/(g C)": ("cal/g c", "cal/(g °c)", "cal/g/c"),
        "J/(kg K)": ("j/kg k", "j/kg/k"),
        "BTU/(lb F)": ("btu/lb f", "btu/lb/f"),
    },
    "diastatic_power": {"Lintner": ("°l", "°lintner", "dp"), "WK": ("°wk", "windisch-kolbach")},
}


def _meant(rows: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    words = {other: listed for listed, others in rows.items() for other in others}
    return words | {listed.lower(): listed for listed in rows}


_MEANT: Mapping[str, Mapping[str, str]] = {kind: _meant(rows) for kind, rows in _WORDS.items()}


_GRAVITY_POINTS = (900.0, 1300.0)
_POINTS_ABOVE_ONE = 150.0
_GRAVITY_PERCENT = (1.3, 32.0)
"""The strongest worts are at 32 degrees Plato, 1.14; a larger number counts thousandths above 1."""


def gravity_meant(value: float) -> tuple[float, str] | None:
    """Return (specific gravity, "points" or "plato") for a number that cannot be one itself.

    None where the number is a plausible specific gravity, or where it fits no reading: 1038 and 46
    are read as points (1.038, 1.046) and 11.6 as degrees Plato.
    """
    if _GRAVITY_POINTS[0] <= value <= _GRAVITY_POINTS[1]:
        return value / 1000.0, "points"
    if _GRAVITY_PERCENT[0] < value <= _GRAVITY_PERCENT[1]:
        return specific_gravity(value, "plato"), "plato"
    if _GRAVITY_PERCENT[1] < value <= _POINTS_ABOVE_ONE:
        return 1.0 + value / 1000.0, "points"
    return None


def meant_unit(quantity: str, word: str) -> str | None:
    """Return the listed unit an unlisted word plainly stands for (``liters`` -> ``l``), or None."""
    return _MEANT[quantity].get(word.strip().lower())


def convert(quantity: str, value: float, unit: str) -> float:
    """Return the value in this project's unit for the quantity.

    Units out: L, kg, min, mg/L, degrees C, EBC, specific gravity (20/20 degrees C), L/kg, J/(kg K),
    kPa, mPa s, volumes of CO2, IBU, pH, percent, Lintner, pieces. Raises KeyError for a unit that
    is not listed.
    """
    factors = BEERJSON_FACTORS.get(quantity)
    if factors is not None:
        return value * factors[unit]
    number = float(value)
    if quantity == "temperature":
        return {"C": number, "F": (number - 32.0) / 1.8}[unit]
    if quantity == "colour":
        return colour_ebc(number, unit)
    if quantity == "gravity":
        return specific_gravity(number, unit)
    return {"Lintner": number, "WK": (number + 16.0) / 3.5}[unit]


def colour_ebc(value: float, unit: str) -> float:
    """Return a colour in EBC; ``unit`` is ``EBC``, ``SRM`` or ``Lovi``, else KeyError.

    Below 0.56 Lovibond the published line would turn negative; colourless stays colourless.
    """
    if unit == "EBC":
        return value
    if unit == "SRM":
        return value * EBC_PER_SRM
    if unit == "Lovi":
        return max(0.0, SRM_PER_LOVIBOND * value + SRM_AT_ZERO_LOVIBOND) * EBC_PER_SRM
    raise KeyError(unit)


def specific_gravity(value: float, unit: str) -> float:
    """Return the specific gravity 20/20 degrees C.

    ``unit`` is ``sg``, ``plato`` or ``brix`` (both mass percent of sucrose), else KeyError.
    SG = 1 + P / (258.6 - 0.8796 P), a fit to the sucrose tables, good to 0.0002 up to 30 percent.
    """
    if unit == "sg":
        return value
    if unit in ("plato", "brix"):
        # Nothing holds more than 100 percent; the fit has its pole at 294.
        return 1.0 + value / (258.6 - 0.8796 * value) if value <= 100.0 else float("inf")
    raise KeyError(unit)
