"""What the database refuses in the catalogue beyond its check constraints."""

from catalog.replacement_guards import NO_CIRCLE, SETS_RUN_ONE_WAY
from shop.guards import Guard, no_cycle, same_family


def same_part_type(table: str) -> Guard:
    """The repeated part type never drifts from the part's own."""
    return Guard(
        f"{table}_part_type",
        table,
        ("INSERT", "UPDATE"),
        "NEW.part_type_id <> (SELECT part_type_id FROM catalog_part WHERE id = NEW.part_id)",
        "the part type must be the part type of the part",
    )


PART_TYPE_STAYS = Guard(
    "catalog_part_type_stays",
    "catalog_part",
    ("UPDATE",),
    "OLD.part_type_id <> NEW.part_type_id AND ("
    "EXISTS (SELECT 1 FROM catalog_application WHERE part_id = NEW.id) "
    "OR EXISTS (SELECT 1 FROM catalog_spec WHERE part_id = NEW.id))",
    "a part with applications or specs keeps its part type",
)

# The same sum as catalog.rules.gtin, for 14 figures: the first counts three times, the next once, and so on.
FIGURES = " + ".join(
    f"{(3, 1)[place % 2]} * CAST(SUBSTR(NEW.gtin, {place + 1}, 1) AS INTEGER)" for place in range(14)
)
GTIN_CHECKS = Guard(
    "catalog_part_gtin",
    "catalog_part",
    ("INSERT", "UPDATE"),
    "NEW.gtin <> '' AND (CASE WHEN LENGTH(NEW.gtin) <> 14 OR TRIM(NEW.gtin, '0123456789') <> '' THEN 1 "
    f"ELSE ({FIGURES}) % 10 END) <> 0",
    "a GTIN has 14 figures, zeros in front, and the check figure at the end",
)

ASKS_FOR_A_VALUE = Guard(
    "catalog_applicationoption_value",
    "catalog_applicationoption",
    ("INSERT", "UPDATE"),
    "NOT EXISTS (SELECT 1 FROM catalog_engineoptionvalue "
    "WHERE option_id = NEW.option_id AND value = NEW.value)",
    "an application can only ask for a value that the option has",
)


def values_stay(table: str, what: str) -> tuple[Guard, ...]:
    """An option value that rows of `table` name is neither renamed nor deleted, and its option stays in its
    family: those rows would mean nothing any more, and nobody would notice."""
    named = f"EXISTS (SELECT 1 FROM {table} WHERE option_id = OLD.option_id AND value = OLD.value)"
    message = f"{what} names this option value: change that first"
    return (
        Guard(
            f"{table}_value_stays",
            "catalog_engineoptionvalue",
            ("UPDATE",),
            f"(OLD.value <> NEW.value OR OLD.option_id <> NEW.option_id) AND {named}",
            message,
        ),
        Guard(f"{table}_value_kept", "catalog_engineoptionvalue", ("DELETE",), named, message),
        Guard(
            f"{table}_option_stays",
            "catalog_engineoption",
            ("UPDATE",),
            f"OLD.family_id <> NEW.family_id AND EXISTS (SELECT 1 FROM {table} WHERE option_id = OLD.id)",
            f"{what} names this option: it stays with its engine family",
        ),
    )


OPTIONS_HOLD_THE_FAMILY = Guard(
    "catalog_application_family_stays",
    "catalog_application",
    ("UPDATE",),
    "OLD.family_id <> NEW.family_id AND "
    "EXISTS (SELECT 1 FROM catalog_applicationoption WHERE application_id = NEW.id)",
    "an application with options keeps its engine family: take the options away first",
)

GUARDS = (
    same_part_type("catalog_application"),
    same_part_type("catalog_spec"),
    PART_TYPE_STAYS,
    same_family(
        "catalog_application",
        ("position_id", "catalog_position"),
        ("family_id", ""),
        "an application and its position",
    ),
    same_family(
        "catalog_position", ("bank_id", "catalog_position"), ("family_id", ""), "a cylinder and its bank"
    ),
    Guard(
        "catalog_applicationoption_family",
        "catalog_applicationoption",
        ("INSERT", "UPDATE"),
        "(SELECT family_id FROM catalog_application WHERE id = NEW.application_id) <> "
        "(SELECT family_id FROM catalog_engineoption WHERE id = NEW.option_id)",
        "an application and its option must belong to one engine family",
    ),
    same_family(
        "catalog_accesssteprequirement",
        ("step_id", "catalog_accessstep"),
        ("requires_id", "catalog_accessstep"),
        "access steps",
    ),
    no_cycle("catalog_accesssteprequirement", "step_id", "requires_id", "access steps"),
    NO_CIRCLE,
    SETS_RUN_ONE_WAY,
    GTIN_CHECKS,
    ASKS_FOR_A_VALUE,
    *values_stay("catalog_applicationoption", "an application"),
    OPTIONS_HOLD_THE_FAMILY,
    same_family(
        "catalog_testpointcomponent",
        ("test_point_id", "catalog_testpoint"),
        ("component_id", "catalog_component"),
        "a test point and its components",
    ),
    same_family(
        "catalog_testpointaccess",
        ("test_point_id", "catalog_testpoint"),
        ("step_id", "catalog_accessstep"),
        "a test point and its access steps",
    ),
    same_family(
        "catalog_operation",
        ("repairs_id", "catalog_component"),
        ("family_id", ""),
        "an operation and what it repairs",
    ),
    same_family(
        "catalog_operationaccess",
        ("operation_id", "catalog_operation"),
        ("step_id", "catalog_accessstep"),
        "an operation and its access steps",
    ),
    same_family(
        "catalog_operationrisk",
        ("operation_id", "catalog_operation"),
        ("follow_on_id", "catalog_operation"),
        "an operation and its follow-on",
    ),
)
