"""What brewers of several countries write on the jar, by the name the program gives a stock.

Names of trade and chemistry, common practice, no source. Each names hydrate and strength, so that
nothing is left open.
"""

from __future__ import annotations

from collections.abc import Mapping

AGENT_NAMES: Mapping[str, Mapping[str, str]] = {
    "Gypsum (calcium sulfate dihydrate)": {
        "de": "Braugips (Calciumsulfat-Dihydrat)",
        "fr": "Gypse (sulfate de calcium dihydraté)",
        "es": "Yeso alimentario (sulfato de calcio dihidratado)",
        "it": "Gesso (solfato di calcio biidrato)",
        "pl": "Gips spożywczy (siarczan wapnia dwuwodny)",
        "formula": "CaSO₄·2H₂O",
    },
    "Calcium chloride dihydrate": {
        "de": "Calciumchlorid-Dihydrat",
        "fr": "Chlorure de calcium dihydraté",
        "es": "Cloruro de calcio dihidratado",
        "it": "Cloruro di calcio biidrato",
        "pl": "Chlorek wapnia dwuwodny",
        "formula": "CaCl₂·2H₂O",
    },
    "Calcium chloride anhydrous": {
        "de": "Calciumchlorid wasserfrei",
        "fr": "Chlorure de calcium anhydre",
        "es": "Cloruro de calcio anhidro",
        "it": "Cloruro di calcio anidro",
        "pl": "Chlorek wapnia bezwodny",
        "formula": "CaCl2 (anhydrous)",
    },
    "Calcium chloride solution 33 %": {
        "de": "Calciumchlorid-Lösung 33%ig",
        "fr": "Chlorure de calcium liquide 33 %",
        "es": "Cloruro de calcio líquido 33 %",
        "it": "Cloruro di calcio soluzione 33 %",
        "pl": "Chlorek wapnia roztwór 33 %",
        "formula": "CaCl2 solution 33 %",
    },
    "Epsom salt (magnesium sulfate heptahydrate)": {
        "de": "Bittersalz",
        "fr": "Sulfate de magnésium heptahydraté",
        "es": "Sulfato de magnesio heptahidratado",
        "it": "Solfato di magnesio eptaidrato",
        "pl": "Sól gorzka (siarczan magnezu siedmiowodny)",
        "formula": "MgSO₄·7H₂O",
    },
    "Table salt (sodium chloride)": {
        "de": "Kochsalz",
        "fr": "Sel de table",
        "es": "Sal de mesa",
        "it": "Sale da cucina",
        "pl": "Sól kuchenna",
        "formula": "NaCl",
    },
    "Baking soda (sodium bicarbonate)": {
        "de": "Natriumhydrogencarbonat",
        "fr": "Bicarbonate de sodium",
        "es": "Bicarbonato de sodio",
        "it": "Bicarbonato di sodio",
        "pl": "Soda oczyszczona",
        "formula": "NaHCO₃",
    },
    "Slaked lime (calcium hydroxide)": {
        "de": "Calciumhydroxid (Kalkhydrat)",
        "fr": "Hydroxyde de calcium",
        "es": "Hidróxido de calcio",
        "it": "Idrossido di calcio",
        "pl": "Wodorotlenek wapnia",
        "formula": "Ca(OH)₂",
    },
    "Lactic acid 80 %": {
        "de": "Milchsäure 80%ig",
        "fr": "Acide lactique 80 %",
        "es": "Ácido láctico 80 %",
        "it": "Acido lattico 80%",
        "pl": "Kwas mlekowy 80%",
    },
    "Lactic acid 88 %": {
        "de": "Milchsäure 88 %",
        "fr": "Acide lactique 88 %",
        "es": "Ácido láctico (88 %)",
        "it": "Acido lattico 88%",
        "pl": "Kwas mlekowy 88 %",
    },
    "Phosphoric acid 10 %": {
        "de": "Phosphorsäure 10 %",
        "fr": "Acide phosphorique 10 %",
        "es": "Ácido fosfórico 10 %",
        "it": "Acido fosforico 10%",
        "pl": "Kwas fosforowy 10%",
        "formula": "H3PO4 10 %",
    },
    "Phosphoric acid 75 %": {
        "de": "Phosphorsäure 75%ig",
        "fr": "Acide phosphorique 75 %",
        "es": "Ácido fosfórico 75 %",
        "it": "Acido fosforico 75%",
        "pl": "Kwas fosforowy 75%",
        "formula": "H₃PO₄ 75 %",
    },
    "Hydrochloric acid 10 %": {
        "de": "Salzsäure 10 %",
        "fr": "Acide chlorhydrique 10 %",
        "es": "Ácido clorhídrico 10 %",
        "it": "Acido cloridrico 10%",
        "pl": "Kwas solny 10%",
        "formula": "HCl 10 %",
    },
}

OTHER_ADDITIONS: tuple[tuple[str, float, str, str], ...] = (
    ("Irish moss", 0.25, "fining", "add_to_boil"),
    ("Kettle finings", 0.05, "fining", "add_to_boil"),
    ("Yeast nutrient", 0.1, "other", "add_to_boil"),
    ("Coriander seed", 0.5, "spice", "add_to_boil"),
    ("Bitter orange peel", 0.7, "spice", "add_to_boil"),
    ("Koriandersamen", 0.5, "spice", "add_to_boil"),
    ("Gelatin", 0.2, "fining", "add_to_fermentation"),
    ("Oak chips", 2.0, "wood", "add_to_fermentation"),
    ("Rice hulls", 8.0, "other", "add_to_mash"),
    ("Ginger root", 1.0, "herb", "add_to_boil"),
)
"""Name, grams per litre of beer, type and use of what has nothing to do with the water."""
