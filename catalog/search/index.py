"""Which texts can be searched by words, and how each database keeps them.

Every indexed table has a table of words beside it, filled by triggers: no path of writing (a form, a bulk
import, plain SQL) gets past them, and the name of a brand or a part type that changes reaches all its parts.
SQLite keeps the words in an FTS5 table, PostgreSQL in a tsvector with a GIN index. Neither is a model:
nothing is stored there that could not be built again from the rows.
"""

from dataclasses import dataclass

from catalog.rules.words import FOLD_FROM, FOLD_TO, PARTING


@dataclass(frozen=True)
class Parent:
    """A table whose texts are indexed with the rows that point to it by `key`."""

    table: str
    key: str
    columns: tuple[str, ...]


@dataclass(frozen=True)
class Indexed:
    """A table whose rows are found by the words in `columns` and in the columns of its parents."""

    table: str
    columns: tuple[str, ...]
    parents: tuple[Parent, ...] = ()

    @property
    def words(self) -> str:
        return f"{self.table}_words"

    @property
    def vocabulary(self) -> str:
        return f"{self.table}_vocabulary"

    def select(self, rows: str) -> str:
        """The id and the text of every row of `rows` (a table or a table of changed rows), as SQL."""
        # The outer join: within a transaction a row may come before what it points to.
        joins = "".join(
            f" LEFT JOIN {parent.table} p{n} ON p{n}.id = t.{parent.key}"
            for n, parent in enumerate(self.parents)
        )
        columns = [f"t.{column}" for column in self.columns]
        columns += [f"p{n}.{column}" for n, parent in enumerate(self.parents) for column in parent.columns]
        text = " || ' ' || ".join(f"COALESCE({column}, '')" for column in columns)
        return f"SELECT t.id AS id, {text} AS text FROM {rows} t{joins}"

    @property
    def watched(self) -> tuple[str, ...]:
        return (*self.columns, *(parent.key for parent in self.parents))


INDEXED = (
    Indexed(
        "catalog_part",
        ("description",),
        (
            Parent("catalog_parttype", "part_type_id", ("name", "plural")),
            Parent("catalog_brand", "brand_id", ("name",)),
        ),
    ),
    Indexed("catalog_parttype", ("code", "name", "plural")),
    Indexed("catalog_enginefamily", ("code", "name"), (Parent("catalog_maker", "maker_id", ("name",)),)),
)


def sqlite(indexed: Indexed) -> tuple[list[str], list[str], list[str]]:
    """Statements that make the tables where they are missing, drop the triggers, and create them."""
    table, words = indexed.table, indexed.words
    make = [
        f"CREATE VIRTUAL TABLE IF NOT EXISTS {words} USING "
        "fts5(words, tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3')",
        f"CREATE VIRTUAL TABLE IF NOT EXISTS {indexed.vocabulary} USING fts5vocab({words}, 'row')",
    ]

    def put(where: str) -> str:
        return f"INSERT INTO {words}(rowid, words) {indexed.select(table)} WHERE {where};"

    def drop(where: str) -> str:
        return f"DELETE FROM {words} WHERE rowid IN (SELECT id FROM {table} WHERE {where});"

    changed = ", ".join(indexed.watched)
    triggers = {
        f"words_{table}_insert": f"AFTER INSERT ON {table} BEGIN {put('t.id = NEW.id')} END",
        f"words_{table}_update": f"AFTER UPDATE OF id, {changed} ON {table} BEGIN "
        f"DELETE FROM {words} WHERE rowid = OLD.id; {put('t.id = NEW.id')} END",
        f"words_{table}_delete": f"AFTER DELETE ON {table} BEGIN "
        f"DELETE FROM {words} WHERE rowid = OLD.id; END",
    }
    for parent in indexed.parents:
        mine = f"{parent.key} = NEW.id"
        body = f"ON {parent.table} BEGIN {drop(mine)} {put(mine)} END"
        triggers[f"words_{table}_{parent.key}_insert"] = f"AFTER INSERT {body}"
        triggers[f"words_{table}_{parent.key}_update"] = f"AFTER UPDATE OF {', '.join(parent.columns)} {body}"
    return (
        make,
        [f"DROP TRIGGER IF EXISTS {name}" for name in triggers],
        [f"CREATE TRIGGER {name} {text}" for name, text in triggers.items()],
    )


# The words of a text on PostgreSQL: folded and parted by the project's own lines, whatever the locale.
TOKENS = "catalog_words_of"
# A text of PostgreSQL holds neither the character zero nor halves of characters.
_PARTING = PARTING.replace(r"\u0000", r"\u0001").replace(r"\ud800-\udfff", "")
MAKE_TOKENS = (
    f"CREATE OR REPLACE FUNCTION {TOKENS}(given text) RETURNS text[] LANGUAGE sql IMMUTABLE PARALLEL SAFE "
    # The long way costs a hundred times more, and nearly every text of a catalogue can do without.
    f"AS $$ SELECT array_remove(regexp_split_to_array(CASE WHEN given ~ '[^\\u0001-\\u007f]' "
    f"THEN translate(given, '{FOLD_FROM}', '{FOLD_TO}') ELSE lower(given COLLATE \"C\") END, "
    f"'[{_PARTING}]+'), '') $$"
)


def postgresql(indexed: Indexed) -> tuple[list[str], list[str], list[str]]:
    """As for SQLite. The triggers run once a statement, over all its rows: a bulk import stays fast."""
    table, words, vocabulary = indexed.table, indexed.words, indexed.vocabulary
    make = [
        f"CREATE TABLE IF NOT EXISTS {words} (id bigint PRIMARY KEY, words tsvector NOT NULL)",
        f"CREATE INDEX IF NOT EXISTS {words}_gin ON {words} USING gin (words) WITH (fastupdate = off)",
        # Words are added and never taken away; one that nothing has any more finds nothing.
        f'CREATE TABLE IF NOT EXISTS {vocabulary} (word text COLLATE "C" PRIMARY KEY)',
    ]
    functions = {f"words_{table}_{event}": body for event, body in _bodies(indexed).items()}
    create = [
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} RETURN NULL; END $$"
        for name, body in functions.items()
    ]
    for event, tables in (
        ("insert", "REFERENCING NEW TABLE AS changed"),
        ("update", "REFERENCING OLD TABLE AS before NEW TABLE AS changed"),
        ("delete", "REFERENCING OLD TABLE AS before"),
        ("truncate", ""),
    ):
        name = f"words_{table}_{event}"
        create.append(
            f"CREATE TRIGGER {name} AFTER {event.upper()} ON {table} {tables} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {name}()"
        )
    drop = []
    for parent in indexed.parents:
        for event in ("insert", "update"):
            create.append(
                f"CREATE TRIGGER words_{table}_{parent.key}_{event} AFTER {event.upper()} ON {parent.table} "
                f"REFERENCING NEW TABLE AS changed FOR EACH STATEMENT "
                f"EXECUTE FUNCTION words_{table}_{parent.key}()"
            )
            drop.append(f"DROP TRIGGER IF EXISTS words_{table}_{parent.key}_{event} ON {parent.table}")
    drop += [
        f"DROP TRIGGER IF EXISTS words_{table}_{event} ON {table}"
        for event in ("insert", "update", "delete", "truncate")
    ]
    drop += [f"DROP FUNCTION IF EXISTS {name}()" for name in functions]
    return make, drop, create


def _bodies(indexed: Indexed) -> dict[str, str]:
    table, words = indexed.table, indexed.words
    differs = " OR ".join(f"o.{column} IS DISTINCT FROM t.{column}" for column in indexed.watched)
    bodies = {
        "insert": put_postgresql(indexed, indexed.select("changed")),
        "update": put_postgresql(
            indexed, f"{indexed.select('changed')} JOIN before o ON o.id = t.id WHERE {differs}"
        ),
        "delete": f"DELETE FROM {words} WHERE id IN (SELECT id FROM before);",
        "truncate": f"TRUNCATE {words}; TRUNCATE {indexed.vocabulary};",
    }
    for parent in indexed.parents:
        bodies[parent.key] = put_postgresql(
            indexed, f"{indexed.select(table)} WHERE t.{parent.key} IN (SELECT id FROM changed)"
        )
    return bodies


def put_postgresql(indexed: Indexed, select: str) -> str:
    """Writes the words of the rows that `select` yields, as plain statements."""
    # In one order everywhere, so that two imports at once cannot wait for each other in a circle.
    return (
        f"WITH found AS MATERIALIZED (SELECT id, {TOKENS}(text) AS list FROM ({select}) s), "
        f"known AS (INSERT INTO {indexed.vocabulary} SELECT DISTINCT w FROM found, unnest(list) w ORDER BY w "
        f"ON CONFLICT DO NOTHING) "
        f"INSERT INTO {indexed.words} SELECT id, array_to_tsvector(list) FROM found ORDER BY id "
        f"ON CONFLICT (id) DO UPDATE SET words = EXCLUDED.words;"
    )
