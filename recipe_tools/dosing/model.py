"""The dosing problem as a mixed-integer program in whole steps of the scale."""

from __future__ import annotations

from recipe_tools.dosing.columns import dose_columns
from recipe_tools.dosing.ion_rows import IonRows
from recipe_tools.dosing.mash_balance import MashRows
from recipe_tools.dosing.mash_rows import measured_rows, ph_rows, taste_rows
from recipe_tools.dosing.program import Program
from recipe_tools.dosing.setting import Setting


def build(setting: Setting) -> Program:
    """Return the program of a setting."""
    program = Program()
    given = setting.day.mash_input
    mash = None if given is None else MashRows(setting.day, given, setting.share or 0.0)
    dose_columns(program, setting, mash)
    IonRows(program, setting).add()
    if mash is not None:
        ph_rows(program, setting, mash)
        taste_rows(program, setting)
        measured_rows(program, setting)
    return program
