"""What the O-ring gland asks for: ring and gland with their limits, and what stretches the ring.

>>> [one.name for one in PARAMETERS if one.required]
['seal', 'cross_section', 'depth_min', 'depth_max', 'width_min', 'width_max']
"""

from __future__ import annotations

from decimal import Decimal

from catalog.rules.calculators.parameter import Parameter, UnitChoice

LENGTH = "length_unit"
SECTION, DIAMETER = Decimal(50), Decimal(5000)


def _length(name: str, label: str, most: Decimal, example: str, **more: object) -> Parameter:
    return Parameter(name, label, "mm", most=most, example=example, unit_by=LENGTH, **more)  # type: ignore[arg-type]


PARAMETERS = (
    Parameter(
        "seal",
        "Kind of seal",
        default="radial",
        choices=(
            ("radial", "radial, static: piston or rod"),
            ("face", "face seal: under a flange or cover"),
        ),
        example="radial",
    ),
    _length("cross_section", "Cross-section of the ring", SECTION, "3.53"),
    _length(
        "tolerance",
        "Cross-section, plus or minus",
        SECTION,
        "0.1",
        from_least=True,
        required=False,
        help="none unless given",
    ),
    _length("depth_min", "Gland depth, least", SECTION, "2.79", help="with the clearance"),
    _length("depth_max", "Gland depth, greatest", SECTION, "2.95", help="with the clearance"),
    _length("width_min", "Gland width, least", SECTION, "4.83"),
    _length("width_max", "Gland width, greatest", SECTION, "5.08"),
    _length(
        "ring_id",
        "Inside diameter of the ring",
        DIAMETER,
        "18.64",
        required=False,
        help="for the stretch",
    ),
    _length(
        "ring_id_tolerance",
        "Inside diameter, plus or minus",
        DIAMETER,
        "0.25",
        from_least=True,
        required=False,
        help="none unless given",
    ),
    _length(
        "groove_diameter",
        "Diameter the ring sits on",
        DIAMETER,
        "19",
        required=False,
        help="for the stretch: the groove’s, in a piston; the rod’s, in a housing",
    ),
    _length(
        "groove_tolerance",
        "Diameter, plus or minus",
        DIAMETER,
        "0.05",
        from_least=True,
        required=False,
        help="none unless given",
    ),
)

UNITS = (UnitChoice(LENGTH, "Lengths are in", "mm"),)
