"""Beers of all families: which malts they are brewed from, and what a brewer calls these.

Shares, malts and colours are those a homebrewer would choose (common practice, no source); the
ranges of gravity, bitterness and colour come from the BJCP Style Guidelines 2021.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class Malt(NamedTuple):
    """A malt: its names in several languages, colour in degrees Lovibond, group, extract yield."""

    names: tuple[str, ...]
    lovibond: float
    group: str
    extract: float = 79.0


MALTS: Mapping[str, Malt] = {
    "pils": Malt(
        ("Pilsner malt", "Pilsner Malz", "Malt Pilsen", "Malta Pilsen", "Słód pilzneński"),
        1.8,
        "base",
        81,
    ),
    "pale": Malt(
        ("Pale ale malt", "Pale-Ale-Malz", "Malt pale ale", "Malta pale ale", "Słód pale ale"),
        2.9,
        "base",
        80,
    ),
    "two_row": Malt(("2-row pale malt", "Pale malt (2 row)"), 2.0, "base", 80),
    "mild": Malt(("Mild ale malt",), 4.0, "base", 79),
    "vienna": Malt(
        ("Vienna malt", "Wiener Malz", "Malt Vienne", "Malta Viena", "Słód wiedeński"), 3.6, "base"
    ),
    "munich": Malt(
        ("Munich malt", "Münchner Malz", "Malt Munich", "Malta Munich", "Słód monachijski"),
        8.0,
        "base",
    ),
    "wheat": Malt(
        ("Wheat malt", "Weizenmalz hell", "Malt de blé", "Malta de trigo", "Słód pszeniczny"),
        2.0,
        "base",
        82,
    ),
    "rye": Malt(("Rye malt", "Roggenmalz"), 3.2, "specialty", 79),
    "flaked_oats": Malt(("Flaked oats", "Haferflocken", "Flocons d'avoine"), 1.2, "flaked", 72),
    "flaked_barley": Malt(("Flaked barley", "Gerstenflocken"), 1.7, "flaked", 70),
    "flaked_maize": Malt(("Flaked maize", "Flaked corn", "Maisflocken"), 1.0, "flaked", 80),
    "flaked_wheat": Malt(("Flaked wheat", "Unmalted wheat"), 1.7, "flaked", 75),
    "light_caramel": Malt(
        ("Light caramel malt", "Caramel 15 L", "Karamellmalz hell"), 13.0, "caramel", 76
    ),
    "caramel": Malt(
        ("Crystal malt 60 L", "Caramel malt 60", "Karamellmalz", "Malt caramel 120 EBC"),
        58.0,
        "caramel",
        75,
    ),
    "dark_caramel": Malt(("Dark crystal malt", "Caramel 120 L"), 118.0, "caramel", 74),
    "biscuit": Malt(("Biscuit malt", "Amber malt"), 25.0, "specialty", 77),
    "aromatic": Malt(("Aromatic malt", "Melanoidin malt"), 24.0, "specialty", 77),
    "chocolate": Malt(
        ("Chocolate malt", "Schokoladenmalz", "Malt chocolat", "Malta chocolate"),
        360.0,
        "roasted",
        70,
    ),
    "black": Malt(("Black malt", "Röstmalz", "Roasted malt"), 520.0, "roasted", 65),
    "roasted_barley": Malt(
        ("Roasted barley", "Röstgerste", "Orge torréfiée", "Cebada tostada"), 520.0, "roasted", 65
    ),
    "acidulated": Malt(("Acidulated malt", "Sauermalz", "Sour malt"), 2.0, "specialty", 78),
}


class Beer(NamedTuple):
    """A beer of a style.

    base: one of these malts makes up the rest of the grist. fill: malt and lowest and highest share
    of it. colour: one of these malts is added until the colour is that of the style. sugar: share
    of sugar in the extract. most: largest share of the colouring malt. salted: salt is an
    ingredient.
    """

    code: str
    names: tuple[str, ...]
    base: tuple[str, ...]
    fill: tuple[tuple[str, float, float], ...] = ()
    colour: tuple[str, ...] = ("light_caramel",)
    sugar: float = 0.0
    most: float = 0.15
    salted: bool = False


BEERS: tuple[Beer, ...] = (
    Beer("1B", ("American Lager",), ("two_row", "pils"), (("flaked_maize", 0.1, 0.25),)),
    Beer("2A", ("International Pale Lager",), ("pils", "two_row")),
    Beer("3B", ("Czech Premium Pale Lager",), ("pils",), (("munich", 0.0, 0.1),)),
    Beer("4A", ("Munich Helles", "Münchner Helles"), ("pils",), (("munich", 0.02, 0.1),)),
    Beer("5D", ("German Pils", "Deutsches Pils"), ("pils",)),
    Beer("5C", ("German Helles Exportbier",), ("pils",), (("munich", 0.05, 0.12),)),
    Beer("7A", ("Vienna Lager", "Wiener Lager"), ("vienna",), (), ("caramel", "dark_caramel")),
    Beer("6A", ("Märzen",), ("munich", "vienna"), (("pils", 0.1, 0.3),), ("caramel",)),
    Beer("8A", ("Munich Dunkel", "Münchner Dunkel"), ("munich",), (), ("chocolate", "black")),
    Beer("8B", ("Schwarzbier",), ("pils",), (("munich", 0.2, 0.4),), ("black", "chocolate")),
    Beer("1C", ("Cream Ale",), ("two_row",), (("flaked_maize", 0.08, 0.2),)),
    Beer("5B", ("Kölsch",), ("pils",), (("wheat", 0.0, 0.1),)),
    Beer("12A", ("British Golden Ale",), ("pale",), (("wheat", 0.0, 0.1),)),
    Beer("18A", ("Blonde Ale",), ("pale", "two_row"), (("wheat", 0.0, 0.08),)),
    Beer("11A", ("Ordinary Bitter",), ("pale",), (), ("caramel", "dark_caramel")),
    Beer("11B", ("Best Bitter",), ("pale",), (("flaked_maize", 0.0, 0.06),), ("caramel",)),
    Beer("12C", ("English IPA",), ("pale",), (("biscuit", 0.0, 0.05),), ("caramel",)),
    Beer("18B", ("American Pale Ale",), ("two_row", "pale"), (("munich", 0.0, 0.1),), ("caramel",)),
    Beer("21A", ("American IPA",), ("two_row", "pale"), (), ("light_caramel", "caramel")),
    Beer("22A", ("Double IPA",), ("two_row",), (), ("caramel",), 0.05),
    Beer("21C", ("Hazy IPA",), ("pale", "two_row"),
         (("flaked_oats", 0.1, 0.2), ("wheat", 0.05, 0.15))),
    Beer("7B", ("Altbier",), ("pils",), (("munich", 0.2, 0.5),), ("caramel", "chocolate")),
    Beer("14C", ("Scottish Export",), ("pale",), (("flaked_barley", 0.0, 0.05),), ("caramel",)),
    Beer("15A", ("Irish Red Ale",), ("pale",), (("caramel", 0.02, 0.05),), ("roasted_barley",)),
    Beer("19A", ("American Amber Ale",), ("two_row",), (("munich", 0.0, 0.1),), ("caramel",)),
    Beer("13A", ("Dark Mild",), ("mild", "pale"), (("dark_caramel", 0.03, 0.07),), ("chocolate",)),
    Beer("13B", ("British Brown Ale",), ("pale",), (("caramel", 0.03, 0.08),), ("chocolate",)),
    Beer("19C", ("American Brown Ale",), ("two_row",), (("caramel", 0.03, 0.08),), ("chocolate",)),
    Beer("13C", ("English Porter",), ("pale",), (("caramel", 0.03, 0.08),), ("chocolate", "black")),
    Beer("20A", ("American Porter",), ("two_row",), (("munich", 0.0, 0.1),), ("chocolate",)),
    Beer("9C", ("Baltic Porter",), ("munich", "vienna"),
         (("caramel", 0.03, 0.06),), ("chocolate",)),
    Beer("15B", ("Irish Stout",), ("pale",), (("flaked_barley", 0.08, 0.15),), ("roasted_barley",)),
    Beer("16B", ("Oatmeal Stout",), ("pale",), (("flaked_oats", 0.06, 0.12),), ("roasted_barley",)),
    Beer("20B", ("American Stout",), ("two_row",), (("caramel", 0.03, 0.07),), ("roasted_barley",)),
    Beer("20C", ("Imperial Stout",), ("pale",), (("caramel", 0.03, 0.06),), ("roasted_barley",)),
    Beer("10A", ("Weissbier", "Weißbier", "Hefeweizen"), ("pils",), (("wheat", 0.5, 0.65),)),
    Beer("10B", ("Dunkles Weissbier",), ("munich",), (("wheat", 0.5, 0.6),), ("chocolate",)),
    Beer("24A", ("Witbier",), ("pils",), (("flaked_wheat", 0.3, 0.45),)),
    Beer("1D", ("American Wheat Beer",), ("two_row",), (("wheat", 0.3, 0.5),)),
    Beer("23A", ("Berliner Weisse",), ("pils",), (("wheat", 0.3, 0.5),)),
    Beer("23G", ("Gose",), ("pils",), (("wheat", 0.4, 0.6),), salted=True),
    Beer("4C", ("Helles Bock",), ("pils",), (("munich", 0.1, 0.4),), ("aromatic",)),
    Beer("9A", ("Doppelbock",), ("munich",), (), ("caramel", "dark_caramel")),
    Beer("17A", ("British Strong Ale",), ("pale",), (), ("caramel", "dark_caramel")),
    Beer("22C", ("American Barleywine",), ("two_row",), (), ("caramel",)),
    Beer("24B", ("Belgian Pale Ale",), ("pils", "pale"), (("vienna", 0.05, 0.2),), ("aromatic",)),
    Beer("25A", ("Belgian Blond Ale",), ("pils",), (), ("aromatic",), 0.1),
    Beer("25B", ("Saison",), ("pils",),
         (("wheat", 0.0, 0.1), ("rye", 0.0, 0.08)), ("aromatic",), 0.06),
    Beer("26B", ("Belgian Dubbel",), ("pils",), (("munich", 0.05, 0.2),), ("dark_caramel",), 0.08),
    Beer("26C", ("Belgian Tripel",), ("pils",), (), ("aromatic",), 0.13),
)  # fmt: skip
