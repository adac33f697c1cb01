"""What the database refuses in the catalogue beyond its check constraints."""

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
    no_cycle("catalog_replacement", "old_id", "new_id", "replacements"),
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
