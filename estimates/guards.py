"""What the database refuses about jobs and issued estimates beyond its check constraints."""

from catalog.guards import values_stay
from shop.guards import Guard, never_changes


def of_the_jobs_family(table: str, column: str, target: str, what: str) -> Guard:
    """What `column` points at belongs to the engine family of the job's unit."""
    return Guard(
        f"{table}_{column}_family",
        table,
        ("INSERT", "UPDATE"),
        f"(SELECT family_id FROM {target} WHERE id = NEW.{column}) <> "
        "(SELECT u.family_id FROM estimates_unit u JOIN estimates_job j ON j.unit_id = u.id "
        "WHERE j.id = NEW.job_id)",
        f"{what} must belong to the engine family of the unit",
    )


GUARDS = (
    never_changes("estimates_issuedestimate", "issued estimates"),
    never_changes("estimates_issuedline", "lines of issued estimates"),
    never_changes("estimates_issuedfile", "files of issued estimates"),
    never_changes("estimates_decision", "decisions"),
    never_changes("estimates_decideditem", "decided items"),
    never_changes("estimates_payment", "payments"),
    never_changes("estimates_receipt", "receipts"),
    never_changes("estimates_closing", "closing statements"),
    of_the_jobs_family("estimates_jobfactor", "step_id", "catalog_accessstep", "an access step"),
    of_the_jobs_family("estimates_jobfactor", "position_id", "catalog_position", "a position"),
    of_the_jobs_family("estimates_reading", "test_point_id", "catalog_testpoint", "a test point"),
    of_the_jobs_family("estimates_reading", "position_id", "catalog_position", "a position"),
    of_the_jobs_family("estimates_finding", "component_id", "catalog_component", "a component"),
    of_the_jobs_family("estimates_finding", "position_id", "catalog_position", "a position"),
    Guard(
        "estimates_unitoption_family",
        "estimates_unitoption",
        ("INSERT", "UPDATE"),
        "(SELECT family_id FROM estimates_unit WHERE id = NEW.unit_id) <> "
        "(SELECT family_id FROM catalog_engineoption WHERE id = NEW.option_id)",
        "a unit and its option must belong to one engine family",
    ),
    *values_stay("estimates_unitoption", "a machine on record"),
    Guard(
        "estimates_unit_family_stays",
        "estimates_unit",
        ("UPDATE",),
        "OLD.family_id <> NEW.family_id AND ("
        "EXISTS (SELECT 1 FROM estimates_unitoption WHERE unit_id = NEW.id) OR "
        "EXISTS (SELECT 1 FROM estimates_reading r JOIN estimates_job j ON j.id = r.job_id "
        "WHERE j.unit_id = NEW.id) OR "
        "EXISTS (SELECT 1 FROM estimates_finding f JOIN estimates_job j ON j.id = f.job_id "
        "WHERE j.unit_id = NEW.id))",
        "a unit with options, readings or findings keeps its engine family",
    ),
)
