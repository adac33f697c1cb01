"""What the database refuses about replacements, the same as catalog.rules.replacement_circle.

A circle is a walk that comes back to where it began over at least one row that runs one way; rows that run
both ways are walked in either direction. Only what hangs together with the row about to be written is walked,
by index, so a long list is brought in as fast as a short one.
"""

from shop.guards import Guard

TABLE = "catalog_replacement"
# A row about to be changed stands in the table as it was: that one does not count.
OTHERS = "e.id <> COALESCE(NEW.id, -1)"

NO_CIRCLE = Guard(
    f"{TABLE}_no_cycle",
    TABLE,
    ("INSERT", "UPDATE"),
    "NEW.old_id = NEW.new_id OR EXISTS (WITH RECURSIVE reach(goal, node, one_way) AS ("
    "SELECT NEW.old_id, NEW.new_id, CASE WHEN NEW.both_ways THEN 0 ELSE 1 END "
    "UNION SELECT NEW.new_id, NEW.old_id, 0 WHERE NEW.both_ways "
    "UNION SELECT reach.goal, CASE WHEN e.old_id = reach.node THEN e.new_id ELSE e.old_id END, "
    "CASE WHEN e.both_ways THEN reach.one_way ELSE 1 END "
    f"FROM reach JOIN {TABLE} e ON (e.old_id = reach.node OR (e.both_ways AND e.new_id = reach.node)) "
    f"AND {OTHERS}) "
    "SELECT 1 FROM reach WHERE node = goal AND one_way = 1)",
    "replacements must not run in a circle",
    alone=True,
)

SETS_RUN_ONE_WAY = Guard(
    f"{TABLE}_sets_run_one_way",
    TABLE,
    ("INSERT", "UPDATE"),
    f"EXISTS (SELECT 1 FROM {TABLE} e WHERE e.old_id = NEW.old_id AND e.choice = NEW.choice AND {OTHERS} "
    "AND (e.both_ways OR NEW.both_ways))",
    "parts that are needed together replace one way only: give another choice number, or let it run one way",
    alone=True,
)
