"""Files from one standard to the other, with a list of all that has no place there."""

from recipe_tools.converting.converting import Converted, convert_bytes
from recipe_tools.converting.setting import SettingError

__all__ = ["Converted", "SettingError", "convert_bytes"]
