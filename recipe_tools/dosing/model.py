"""The dosing problem as a mixed-integer program in whole steps of the scale."""

from __future__ import annotations

from recipe_tools.dosing.columns import dose_columns
from recipe_tools.dosing.ion_rows import ion_rows
from recipe_tools.dosing.mash_rows import ph_rows, taste_rows
from recipe_tools.dosing.program import Program
from recipe_tools.dosing.setting import Setting


def build(setting: Setting) -> Program:
    """Return the program of a setting."""
    program = Program()
    doses = dose_columns(program, setting)
    ion_rows(program, setting, doses)
    ph_rows(program, setting, doses)
    taste_rows(program, setting, doses)
    return program
