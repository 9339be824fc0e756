"""The neutral recipe: what a reader hands on, whatever standard the file followed.

All records are frozen and hold one unit per quantity: kilograms of fermentable, grams and
millilitres of an addition, litres, degrees Celsius, minutes, mg/L, EBC, specific gravity, percent.
``None`` always means "the file does not say"; it never means zero.

Each record knows where it was read from (`Origin`), so that a finding can point at a single value.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple

FormatName = Literal["beerxml", "beerjson"]

NO_MEMBERS: Mapping[str, str] = MappingProxyType({})
NO_IONS: Mapping[str, float] = MappingProxyType({})
NO_NUMBERS: Mapping[str, float] = NO_IONS

IONS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "bicarbonate")
"""The ions followed through the brew day, in the order in which reports show them."""


class Origin(NamedTuple):
    """Where a record stands in its file.

    path: symbolic path of the record. For BeerJSON a JSON pointer
        (``/beerjson/recipes/0/mash/mash_steps/1``), for BeerXML the element path with 1-based
        places among siblings of one name (``/RECIPES/RECIPE[1]/WATERS/WATER[2]``).
    members: for a field of the record the rest of the path of its value, such as
        ``{"amount_l": "/AMOUNT"}``.
        One mapping is shared by all records of a kind.
    """

    path: str = ""
    members: Mapping[str, str] = NO_MEMBERS

    def at(self, field: str) -> str:
        """Return the symbolic path of a field's value, or of the record if there is none."""
        return self.path + self.members.get(field, "")


NOWHERE = Origin()


class Style(NamedTuple):
    """The style a recipe aims at, with the ranges the file states."""

    name: str
    category: str = ""
    category_number: str = ""
    letter: str = ""
    guide: str = ""
    kind: str = ""
    og: tuple[float | None, float | None] = (None, None)
    ibu: tuple[float | None, float | None] = (None, None)
    colour_ebc: tuple[float | None, float | None] = (None, None)
    origin: Origin = NOWHERE

    @property
    def code(self) -> str:
        """Category number and letter as style guides print them, such as ``18B``; may be empty."""
        return f"{self.category_number}{self.letter}".strip()


class Fermentable(NamedTuple):
    """Malt, adjunct, extract, sugar, juice or honey.

    kind: ``grain``, ``adjunct``, ``sugar``, ``extract`` (liquid), ``dry extract``, ``fruit``,
        ``juice``, ``honey`` or ``other``, in lower case; an unlisted word is kept as written.
    stage: ``mash``, ``boil``, ``fermentation``, ``package`` or None where the file does not say.
    yield_percent: extract yield, fine grind, dry basis, in percent of sucrose.
    potential_sg: extract potential as the gravity of 1 lb in 1 US gal.
    di_ph: pH of a mash in distilled water, with di_water_l_kg the water of that test in L/kg.
    colour_scale: the scale in which the file gives the colour: ``Lovi``, ``SRM`` or ``EBC``.
    """

    name: str
    kind: str = "grain"
    amount_kg: float | None = None
    volume_l: float | None = None
    colour_ebc: float | None = None
    yield_percent: float | None = None
    potential_sg: float | None = None
    moisture_percent: float | None = None
    stage: str | None = None
    recommend_mash: bool | None = None
    group: str = ""
    di_ph: float | None = None
    di_water_l_kg: float | None = None
    notes: str = ""
    colour_scale: str = ""
    origin: Origin = NOWHERE


class Hop(NamedTuple):
    """A hop addition.

    use: ``boil``, ``first wort``, ``mash``, ``aroma``, ``dry hop`` or as written.
    """

    name: str
    amount_kg: float | None = None
    alpha_percent: float | None = None
    use: str = "boil"
    time_min: float | None = None
    form: str = ""
    origin: Origin = NOWHERE


class Addition(NamedTuple):
    """Anything that is neither fermentable, hop nor yeast: salts, acids, finings, spices.

    kind: ``water agent``, ``fining``, ``spice`` ... in lower case.
    use: ``mash``, ``sparge``, ``boil``, ``primary``, ``secondary``, ``bottling`` or as written.
    step: number of the mash or fermentation step it goes into, from 1; None where not stated.
    amount, unit: the amount as the file gives it; unit is ``kg``, ``L``, ``piece`` or the unit word
        of the file. Converted only where the file leaves no doubt: mass_g, volume_ml or pieces.
    is_weight: the BeerXML flag; None where the file leaves it out.
    """

    name: str
    kind: str = "other"
    use: str | None = None
    step: int | None = None
    time_min: float | None = None
    amount: float | None = None
    unit: str = ""
    mass_g: float | None = None
    volume_ml: float | None = None
    pieces: float | None = None
    is_weight: bool | None = None
    display_amount: str = ""
    use_for: str = ""
    notes: str = ""
    origin: Origin = NOWHERE


class WaterSource(NamedTuple):
    """A water record: a name, perhaps a volume, and what the file says is dissolved in it.

    ions_mg_l: mg/L by ion name. Keys are those of `IONS` and ``carbonate``, ``nitrate``,
        ``nitrite``, ``fluoride``, ``iron``; an ion the file does not state has no key.
    """

    name: str
    amount_l: float | None = None
    ions_mg_l: Mapping[str, float] = NO_IONS
    ph: float | None = None
    notes: str = ""
    origin: Origin = NOWHERE


class MashStep(NamedTuple):
    """One step of a mash.

    kind: ``infusion``, ``temperature``, ``decoction``, ``sparge``, ``drain mash tun`` ... in lower
        case.
    water_l: the amount the file gives for the step, whatever it means (see `brewday`).
    """

    name: str = ""
    kind: str = "infusion"
    water_l: float | None = None
    temperature_c: float | None = None
    time_min: float | None = None
    water_to_grist_l_kg: float | None = None
    infuse_temperature_c: float | None = None
    start_ph: float | None = None
    end_ph: float | None = None
    origin: Origin = NOWHERE


class Mash(NamedTuple):
    """A mash.

    ph: MASH.PH of BeerXML, by that standard the pH of the sparge, in practice a target.
    """

    name: str = ""
    grain_temperature_c: float | None = None
    sparge_temperature_c: float | None = None
    ph: float | None = None
    steps: tuple[MashStep, ...] = ()
    notes: str = ""
    origin: Origin = NOWHERE


class Equipment(NamedTuple):
    """Losses and top-up water of the brewery, in litres."""

    top_up_kettle_l: float | None = None
    top_up_fermenter_l: float | None = None
    trub_loss_l: float | None = None
    dead_space_l: float | None = None
    boil_off_percent_h: float | None = None
    grain_absorption_l_kg: float | None = None
    origin: Origin = NOWHERE


NOT_BEER: frozenset[str] = frozenset({"cider", "mead", "wine", "kombucha", "soda"})
"""Kinds of recipe, and of style, that are brewed by other rules than beer."""


class Culture(NamedTuple):
    """A yeast or bacterium; at most one of its amounts is stated."""

    name: str
    kind: str = ""
    amount_kg: float | None = None
    amount_l: float | None = None
    attenuation_percent: float | None = None
    origin: Origin = NOWHERE


class Recipe(NamedTuple):
    """One recipe.

    index: 0-based place among the recipes of its file.
    kind: ``all grain``, ``partial mash``, ``extract``, ``cider``, ``mead`` ... in lower case, or
        empty.
    batch_l: volume into the fermenter. boil_l: volume at the start of the boil.
    og, fg: specific gravity. ibu, colour_ebc, abv_percent: what the file states, not computed.
    beer_ph: pH of the finished beer where the file states one.
    left_out: numbers of the file that cannot be, by symbolic path; no field of a record holds them.
    states_sparge: True where the standard of the file has a place for the sparge (BeerJSON), so
        that a recipe without one has no sparge; False where it has to be worked out (BeerXML).
    """

    index: int  # type: ignore[assignment]  # in place of the method of tuples
    name: str
    kind: str = ""
    brewer: str = ""
    date: str = ""
    batch_l: float | None = None
    boil_l: float | None = None
    boil_min: float | None = None
    efficiency_percent: float | None = None
    og: float | None = None
    fg: float | None = None
    ibu: float | None = None
    colour_ebc: float | None = None
    abv_percent: float | None = None
    beer_ph: float | None = None
    carbonation_volumes: float | None = None
    style: Style | None = None
    equipment: Equipment | None = None
    fermentables: tuple[Fermentable, ...] = ()
    hops: tuple[Hop, ...] = ()
    additions: tuple[Addition, ...] = ()
    cultures: tuple[Culture, ...] = ()
    waters: tuple[WaterSource, ...] = ()
    mash: Mash | None = None
    states_sparge: bool = False
    notes: str = ""
    left_out: Mapping[str, float] = NO_NUMBERS
    origin: Origin = NOWHERE

    @property
    def is_beer(self) -> bool:
        """True unless the recipe, or its style, is of another drink."""
        return self.kind not in NOT_BEER and (self.style is None or self.style.kind not in NOT_BEER)

    @property
    def mashes(self) -> bool:
        """True where the recipe is of a kind whose grain is mashed: neither extract nor cider."""
        return self.kind != "extract" and self.kind not in NOT_BEER


class SourceFile(NamedTuple):
    """The bytes of a file and the name under which reports show it (forward slashes, relative)."""

    path: str
    data: bytes
    format: FormatName | None = None
