"""All calculators, in the order they are offered.

>>> [one.code for one in CALCULATORS.values()]
['o-ring-gland', 'o-ring-size', 'wire-voltage-drop', 'heater-bank', 'tightening-torque']
"""

from __future__ import annotations

from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.sheets.bank import HEATERS
from catalog.rules.calculators.sheets.gland import GLAND
from catalog.rules.calculators.sheets.sizes import SIZES_SHEET
from catalog.rules.calculators.sheets.torque import TORQUE
from catalog.rules.calculators.sheets.wires import WIRE

CALCULATORS: dict[str, Calculator] = {one.code: one for one in (GLAND, SIZES_SHEET, WIRE, HEATERS, TORQUE)}
