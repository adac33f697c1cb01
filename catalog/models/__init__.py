from catalog.models.access import AccessStep, AccessStepRequirement, StepCaution
from catalog.models.applications import Application, ApplicationOption
from catalog.models.engines import (
    EngineFamily,
    EngineOption,
    EngineOptionValue,
    Maker,
    Position,
    Scope,
    SerialScheme,
)
from catalog.models.family_items import Caution
from catalog.models.needs import PartNeed, ServiceValue
from catalog.models.operations import Operation, OperationAccess, OperationCaution, OperationRisk
from catalog.models.parts import (
    Brand,
    InterchangeGroup,
    InterchangeMember,
    Part,
    PartType,
    Replacement,
)
from catalog.models.price_files import HeldPrice, PriceFile, PriceUpload
from catalog.models.specs import Property, Source, Spec
from catalog.models.supply import Offer, PriceBreak, Stock, Supplier
from catalog.models.test_points import (
    Component,
    TestPoint,
    TestPointAccess,
    TestPointCaution,
    TestPointComponent,
)

__all__ = [
    "AccessStep",
    "AccessStepRequirement",
    "Application",
    "ApplicationOption",
    "Brand",
    "Caution",
    "Component",
    "EngineFamily",
    "EngineOption",
    "EngineOptionValue",
    "HeldPrice",
    "InterchangeGroup",
    "InterchangeMember",
    "Maker",
    "Offer",
    "Operation",
    "OperationAccess",
    "OperationCaution",
    "OperationRisk",
    "Part",
    "PartNeed",
    "PartType",
    "Position",
    "PriceBreak",
    "PriceFile",
    "PriceUpload",
    "Property",
    "Replacement",
    "Scope",
    "SerialScheme",
    "ServiceValue",
    "Source",
    "Spec",
    "StepCaution",
    "Stock",
    "Supplier",
    "TestPoint",
    "TestPointAccess",
    "TestPointCaution",
    "TestPointComponent",
]
