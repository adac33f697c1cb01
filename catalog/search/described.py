"""Parts, part types and engine families by words, and words by their likeness.

SQLite finds words in FTS5, PostgreSQL in a GIN index over tsvectors. A misspelt word is looked up among the
words that the index has: those one slip away, else, on PostgreSQL with the extension pg_trgm, those like it.
"""

from collections.abc import Collection, Iterable, Sequence
from typing import NamedTuple

from catalog.rules.nearnumber import one_slip_away
from catalog.rules.words import Way, Wish
from catalog.search.index import INDEXED
from catalog.search.numbers import a_list
from catalog.search.reads import LAST, both, rows, vendor

MOST_LOOKED_AT = 200  # parts of these words that are ranked; a common word has ten thousands
MOST_NAMES = 60
LIKE_AT_LEAST = 4  # letters; everything is like a shorter word
LIKE_AT_MOST = 3
PART, PART_TYPE, FAMILY = INDEXED
VOCABULARIES = tuple(indexed.vocabulary for indexed in INDEXED)


class Found(NamedTuple):
    """A row that has the words: what it is ("part", "part type", "family"), its codes and its texts.

    part: brand code, number, brand name, type name, description, the type's plural
    part type: code, "", name, plural, "", ""; family: code, "", name, maker's name, "", ""
    """

    kind: str
    code: str
    number: str
    name: str
    second: str
    third: str
    fourth: str


def _ids(words: str, ranked: bool) -> tuple[str, str]:
    """Which rows match, for SQLite and PostgreSQL: the best first where `ranked`, else as they come."""
    return (
        f"SELECT rowid AS id FROM {words} WHERE {words} MATCH %s"
        f"{' ORDER BY rank' if ranked else ''} LIMIT %s",
        f"SELECT id FROM (SELECT id, words, %s::tsquery AS q FROM {words}) w WHERE words @@ q"
        f"{' ORDER BY ts_rank(words, q) DESC, id' if ranked else ''} LIMIT %s",
    )


DESCRIBED = both(
    "SELECT 'part', b.code, p.number, b.name, y.name, p.description, y.plural FROM ({parts}) w "
    "JOIN catalog_part p ON p.id = w.id JOIN catalog_brand b ON b.id = p.brand_id "
    "JOIN catalog_parttype y ON y.id = p.part_type_id "
    "UNION ALL SELECT 'part type', y.code, '', y.name, y.plural, '', '' FROM ({types}) w "
    "JOIN catalog_parttype y ON y.id = w.id "
    "UNION ALL SELECT 'family', f.code, '', f.name, m.name, '', '' FROM ({families}) w "
    "JOIN catalog_enginefamily f ON f.id = w.id JOIN catalog_maker m ON m.id = f.maker_id",
    parts=_ids(PART.words, ranked=False),
    types=_ids(PART_TYPE.words, ranked=True),
    families=_ids(FAMILY.words, ranked=True),
)


def described(parts: Sequence[Wish], names: Sequence[Wish]) -> list[Found]:
    """Parts whose texts meet all of `parts`; part types and families that meet any of `names`. One statement.

    Without wishes for parts no parts are looked for.
    """
    if not names:
        return []
    one, any_ = expression(parts, " AND ", " & "), expression(names, " OR ", " | ")
    # An empty search: no text has this word, for it would have been parted.
    one = one or expression((((".",),),), " AND ", " & ")
    params = [one, MOST_LOOKED_AT if parts else 0, any_, MOST_NAMES, any_, MOST_NAMES]
    return list(map(Found._make, rows(DESCRIBED, params)))


def expression(wishes: Sequence[Wish], sqlite: str, postgresql: str) -> str:
    """The wishes in the database's own language, joined by the one or the other word."""
    on_sqlite = vendor() == "sqlite"
    both_, either = (" AND ", " OR ") if on_sqlite else (" & ", " | ")

    def way(words: Way) -> str:
        return "(" + both_.join(_word(word, on_sqlite) for word in words) + ")"

    joined = ["(" + either.join(way(one) for one in wish) + ")" for wish in wishes]
    return (sqlite if on_sqlite else postgresql).join(joined)


def _word(word: str, on_sqlite: bool) -> str:
    # Words hold no quotes and no backslashes: those part them.
    bare, begins = word.rstrip("*"), word.endswith("*")
    return f'"{bare}"{"*" if begins else ""}' if on_sqlite else f"'{bare}'{':*' if begins else ''}"


class Known(NamedTuple):
    in_parts: frozenset[str]
    anywhere: frozenset[str]
    by_likeness: bool


def known(words: Collection[str]) -> Known:
    """Which of these words (a star behind a beginning) the index has. One statement."""
    asked, params, listed = [], [], list(words)
    for place, word in enumerate(listed):
        bare = word.rstrip("*")
        for n, vocabulary in enumerate(VOCABULARIES):
            column = _column()
            asked.append(
                f"SELECT {n}, {place} WHERE EXISTS "
                f"(SELECT 1 FROM {vocabulary} WHERE {column} >= %s AND {column} < %s)"
            )
            params += [bare, bare + (LAST if word.endswith("*") else "\u0001")]
    if vendor() == "postgresql":
        asked.append("SELECT -1, 0 WHERE EXISTS (SELECT 1 FROM pg_extension WHERE extname = 'pg_trgm')")
    sql = " UNION ALL ".join(asked)
    found = set(rows({"sqlite": sql, "postgresql": sql}, params))
    return Known(
        frozenset(listed[place] for n, place in found if n == 0),
        frozenset(listed[place] for n, place in found if n >= 0),
        (-1, 0) in found,
    )


def alike(words: Iterable[str], by_likeness: bool) -> dict[str, tuple[str, ...]]:
    """By word, the words of the index that it may be a slip for. One statement, two with pg_trgm."""
    asked = [word for word in words if len(word) >= LIKE_AT_LEAST and not word.isdigit()]
    if not asked:
        return {}
    found = _one_slip(asked)
    left = [word for word in asked if word not in found]
    # Two neighbours swapped leave few threes of letters alike: likeness alone would miss that slip.
    return {**found, **_by_likeness(left)} if left and by_likeness else found


def _one_slip(asked: Sequence[str]) -> dict[str, tuple[str, ...]]:
    near = {word: {other.lower() for other in one_slip_away(word.upper())} for word in asked}
    column = _column()
    listed = "SELECT value FROM json_each(%s)" if vendor() == "sqlite" else "SELECT unnest(%s::text[])"
    sql = " UNION ".join(
        f"SELECT {column} FROM {vocabulary} WHERE {column} IN ({listed})" for vocabulary in VOCABULARIES
    )
    param = a_list({other for others in near.values() for other in others})
    present = {word for (word,) in rows({"sqlite": sql, "postgresql": sql}, [param] * len(VOCABULARIES))}
    found = {word: tuple(sorted(others & present))[:LIKE_AT_MOST] for word, others in near.items()}
    return {word: others for word, others in found.items() if others}


def _by_likeness(asked: Sequence[str]) -> dict[str, tuple[str, ...]]:
    every = " UNION ".join(
        f"SELECT word FROM {vocabulary} WHERE word % a.asked" for vocabulary in VOCABULARIES
    ).replace("%", "%%")
    sql = (
        "SELECT a.asked, b.word FROM unnest(%s::text[]) a(asked) CROSS JOIN LATERAL "
        f"(SELECT word FROM ({every}) v ORDER BY similarity(word, a.asked) DESC, word LIMIT {LIKE_AT_MOST}) b"
    )
    found: dict[str, list[str]] = {}
    for word, other in rows({"postgresql": sql}, [list(asked)]):
        found.setdefault(word, []).append(other)
    return {word: tuple(others) for word, others in found.items()}


def _column() -> str:
    return "term" if vendor() == "sqlite" else "word"
