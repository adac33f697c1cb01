"""The tables of a data pack, in the order in which they are loaded: what stands in which column.

Only what the models cannot say is written here: how a row is recognised again, which columns name a row of
another table, and rules that go beyond a field's type. Types, lengths and choices are taken from the models'
fields by `columns`. A row that names a table below its own would be loaded too early: keep the order.
"""

from decimal import Decimal

from django.db.models import F

from catalog import models as m
from catalog.packs.declare import Col, Resource, money, ref, ucum, within

FAMILY = ref("family", "engine_families")
PART = ref("part", "parts", "part_brand part_number")
PART_TYPE = ref("part_type", "part_types")
PROPERTY = ref("property", "properties")
SUPPLIER = ref("supplier", "suppliers")
CAUTION = ref("caution", "cautions")
TEST_POINT = within("test_point", "test_points")
OPERATION = within("operation", "operations")
STEP = within("step", "access_steps")
LEAST_LIKELY, MOST_LIKELY = Decimal("0.001"), Decimal("0.999")
FARTHEST = Decimal(16_000)
TEMPERATURES = "temperature_min temperature_max"

RESOURCES: tuple[Resource, ...] = (
    Resource("makers", m.Maker, ("code", "name"), "code"),
    Resource("serial_schemes", m.SerialScheme, ("code", "name", "prefixes", "digits"), "code"),
    Resource(
        "engine_families",
        m.EngineFamily,
        ("code", ref("maker", "makers"), "name", "description", "layout", "cylinders", "voltage", "numbering",
         ref("serial_scheme", "serial_schemes")),
        "code",
    ),
    Resource(
        "positions",
        m.Position,
        (FAMILY, "code", "scope", within("bank", "positions"), "ordinal"),
        "family code",
        reach="family",
    ),
    Resource("engine_options", m.EngineOption, (FAMILY, "code", "name"), "family code"),
    Resource(
        "engine_option_values",
        m.EngineOptionValue,
        (within("option", "engine_options"), "value"),
        "option value",
    ),
    Resource("part_types", m.PartType, ("code", "name", "plural", "controls"), "code"),
    Resource("brands", m.Brand, ("code", "name"), "code"),
    Resource(
        "parts",
        m.Part,
        (ref("brand", "brands"), Col("number", rule="part number"), PART_TYPE, "description", "grade",
         Col("gtin", rule="gtin"), money("list_price", "list_currency"),
         Col("list_currency", rule="currency")),
        "brand number",
        compared=(("normalised", "number"),),
    ),
    Resource(
        "replacements",
        m.Replacement,
        (ref("old", "parts", "old_brand old_number"), ref("new", "parts", "new_brand new_number"), "choice",
         "quantity", "both_ways", "valid_from"),
        "old new choice",
        edges=("old", "new"),
        reach="all",
    ),
    Resource("interchange_groups", m.InterchangeGroup, ("code", PART_TYPE, "name"), "code"),
    Resource(
        "interchange_members", m.InterchangeMember, (ref("group", "interchange_groups"), PART), "part"
    ),
    Resource(
        "applications",
        m.Application,
        (PART, FAMILY, "ordinal", "polarity", "scope", within("position", "positions"), "quantity",
         "built_from", "built_until", "serial_from", "serial_until", "note"),
        "part family ordinal",
        ordered=("built_from built_until",),
        copies=(("part_type", "part"),),
    ),
    Resource(
        "application_options",
        m.ApplicationOption,
        (ref("application", "applications", "part_brand part_number family ordinal"),
         within("option", "engine_options"), "value",
         ref("", "engine_option_values", "family option value")),
        "application option",
    ),
    Resource("properties", m.Property, ("code", "name", ucum("unit"), "description"), "code"),
    Resource("sources", m.Source, ("code", "title", "revision", "publisher", "dated"), "code"),
    Resource(
        "specs",
        m.Spec,
        (PROPERTY, PART, FAMILY, PART_TYPE, "condition", "temperature_min", "temperature_max", "minimum",
         "nominal", "maximum", "text", ref("source", "sources"), "verified"),
        "property part family part_type condition",
        ordered=("minimum nominal maximum", TEMPERATURES),
        one_of="part family",
        places="minimum nominal maximum",
    ),
    Resource(
        "suppliers",
        m.Supplier,
        ("code", "name", Col("currency", rule="currency"), money("freight", "currency"),
         money("free_freight_from", "currency"), Col("email", rule="email"), "phone", "blocked"),
        "code",
    ),
    Resource(
        "offers",
        m.Offer,
        (SUPPLIER, PART, Col("supplier_number", rule="supplier's number"),
         money("price", "supplier__currency"), "pack", "minimum_quantity",
         money("deposit", "supplier__currency"), "lead_days", "valid_from", "valid_until"),
        "supplier part valid_from",
        compared=(("supplier_normalised", "supplier_number"),),
        ordered=("valid_from valid_until",),
    ),
    Resource(
        "price_breaks",
        m.PriceBreak,
        (ref("offer", "offers", "supplier part_brand part_number valid_from"), "quantity_from",
         money("price", "offer__supplier__currency")),
        "offer quantity_from",
    ),
    Resource("cautions", m.Caution, ("code", "text"), "code"),
    Resource(
        "components",
        m.Component,
        (FAMILY, "code", "name", "scope", PART_TYPE, Col("likelihood", low=LEAST_LIKELY)),
        "family code",
    ),
    Resource(
        "access_steps",
        m.AccessStep,
        (FAMILY, "code", "name", "scope", "minutes", "instruction", "refit", "tools"),
        "family code",
    ),
    Resource(
        "access_step_requirements",
        m.AccessStepRequirement,
        (STEP, within("requires", "access_steps")),
        "step requires",
        edges=("step", "requires"),
        reach="family",
    ),
    Resource(
        "test_points",
        m.TestPoint,
        (FAMILY, "code", "name", "scope", "kind", ucum("unit"), "minimum", "maximum", "lamp",
         "temperature_min", "temperature_max", "temperature_coefficient", "minutes", "minutes_further",
         "instruction"),
        "family code",
        ordered=("minimum maximum", TEMPERATURES, "minutes_further minutes"),
        places="minimum maximum",
    ),
    Resource(
        "test_point_components",
        m.TestPointComponent,
        (TEST_POINT, Col("ordinal", high=FARTHEST), within("component", "components")),
        "test_point component",
        unique=("test_point ordinal",),
        aside=(("ordinal", F("ordinal") + FARTHEST),),
        reach="family",
    ),
    Resource("test_point_access", m.TestPointAccess, (TEST_POINT, STEP), "test_point step"),
    Resource("test_point_cautions", m.TestPointCaution, (TEST_POINT, CAUTION), "test_point caution"),
    Resource(
        "operations",
        m.Operation,
        (FAMILY, "code", "name", "scope", within("repairs", "components"), "description", "minutes",
         "minutes_further", "rank", "removes_control"),
        "family code",
        unique=("repairs rank",),
        aside=(("repairs", None),),
        ordered=("minutes_further minutes",),
        reach="family",
    ),
    Resource("operation_access", m.OperationAccess, (OPERATION, STEP), "operation step"),
    Resource("operation_cautions", m.OperationCaution, (OPERATION, CAUTION), "operation caution"),
    Resource("step_cautions", m.StepCaution, (STEP, CAUTION), "step caution"),
    Resource(
        "part_needs",
        m.PartNeed,
        (OPERATION, STEP, PART_TYPE, "quantity", "per", "necessity"),
        "operation step part_type",
        one_of="operation step",
    ),
    Resource(
        "service_values",
        m.ServiceValue,
        (OPERATION, STEP, PART_TYPE, PROPERTY),
        "operation step part_type property",
        one_of="operation step",
    ),
    Resource(
        "operation_risks",
        m.OperationRisk,
        (OPERATION, within("follow_on", "operations"), "condition",
         Col("likelihood", low=LEAST_LIKELY, high=MOST_LIKELY)),
        "operation follow_on",
    ),
)  # fmt: skip
BY_NAME = {resource.name: resource for resource in RESOURCES}
