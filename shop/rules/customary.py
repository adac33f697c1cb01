"""The other unit people expect to read beside one: a torque in N·m is told in lbf·ft too, and the other way.

Only where a workshop really meets both. Ohms and amperes are the same everywhere, a cable's square
millimetres have gauge numbers and no inches beside them, and nobody states a filter in inches.

>>> customary_other("N.m"), customary_other("[psi]"), customary_other("Ohm")
('[lbf_av].[ft_i]', 'kPa', '')
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

# UCUM codes. Common practice, no source.
_OTHER: Mapping[str, str] = MappingProxyType(
    {
        "N.m": "[lbf_av].[ft_i]",
        "[lbf_av].[ft_i]": "N.m",
        "[lbf_av].[in_i]": "N.m",
        "N": "[lbf_av]",
        "kN": "[lbf_av]",
        "[lbf_av]": "N",
        "mm": "[in_i]",
        "cm": "[in_i]",
        "m": "[ft_i]",
        "[in_i]": "mm",
        "[ft_i]": "m",
        "cm2": "[sin_i]",
        "[sin_i]": "cm2",
        "L": "[gal_us]",
        "[gal_us]": "L",
        "Cel": "[degF]",
        "[degF]": "Cel",
        "kPa": "[psi]",
        "MPa": "[psi]",
        "bar": "[psi]",
        "mbar": "[psi]",
        "[psi]": "kPa",
        "kg": "[lb_av]",
        "[lb_av]": "kg",
    }
)


def customary_other(code: str) -> str:
    """The UCUM code of the customary other unit; "" where there is none."""
    return _OTHER.get(code, "")
