"""What one line, as typed, may mean: numbers, suppliers' numbers, families, part types, descriptions.

A line that is a part's number, or a supplier's for it, takes one statement. Anything else takes three; six
(seven with pg_trgm) where nothing has all of the words: then the index is asked which of them it knows and
which are like it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from catalog.rules.lookup import Name, Pair, meant
from catalog.rules.partnumber import comparable
from catalog.rules.ranking import Hit, Kind, Way, ranked, slip
from catalog.rules.words import Wish, meets, wishes, words
from catalog.search import described, numbers
from catalog.search.described import Found
from catalog.search.numbers import Row
from shop.rules.errors import Refused

LONGEST = 200
SLIPS_FROM = 3  # a shorter number is one slip from far too many
MOST = 20


@dataclass(frozen=True)
class Answer:
    """The hits with their ranks; `remarks` say how words were read that nothing has; `more` were left out."""

    hits: tuple[tuple[int, Hit], ...]
    remarks: tuple[str, ...] = ()
    more: bool = False


def search(line: str, most: int = MOST) -> Answer:
    """Everything the line may mean, the surest first. Raises Refused for a line that says nothing."""
    check(line)
    line = line.encode("utf-8", "ignore").decode()  # halves of characters are in no record
    number = comparable(line)
    hits = _numbered(number, most) if number else []
    if any(hit.found in ("number", "supplier") for hit in hits):
        return _cut(hits, most)
    if len(number) >= SLIPS_FROM:
        hits += [
            _part(row, "slip", slip(number, row.normalised)) for row in numbers.one_slip(number, most + 1)
        ]
    worded, remarks = _worded(line, number, sure=bool(hits))
    return _cut([*hits, *worded], most, remarks)


def check(line: str) -> None:
    """Refused, saying what would be right, for a line with no letter or figure and for an endless one."""
    if len(line) > LONGEST:
        raise Refused.single(
            "search", f"it has {len(line)} characters", f"search for at most {LONGEST} characters"
        )
    if not line.strip():
        raise Refused.single("search", "it is empty", "give a number, or a few words")
    if not comparable(line) or not any(character.isalnum() for character in line):
        raise Refused.single("search", "it has no letter or figure in it", "give a number, or a few words")


def _cut(hits: Iterable[Hit], most: int, remarks: Sequence[str] = ()) -> Answer:
    found = ranked(hits)
    return Answer(found[:most], tuple(remarks), len(found) > most)


def _numbered(number: str, most: int) -> list[Hit]:
    found = []
    for row in numbers.numbered(number, most + 1):
        if row.supplier:
            found.append(_part(row, "supplier", f"supplier {row.supplier} calls it {row.supplier_number}"))
        elif row.normalised == number:
            found.append(_part(row, "number", "the number as asked"))
        else:
            found.append(_part(row, "prefix", f"number begins with {number}"))
    return found


def _part(row: Row, found: Way, why: str) -> Hit:
    return Hit(
        "part", found, f"{row.brand_name} {row.number}", _detail(row.type_name, row.description), why,
        (("brand", row.brand), ("number", row.number)), order=row.normalised,
    )  # fmt: skip


def _worded(line: str, number: str, sure: bool) -> tuple[list[Hit], list[str]]:
    """What the words lead to. Where nothing has all of them they are read otherwise, unless the line is a
    number in some way already (`sure`)."""
    asked = wishes(words(line))
    if not asked:
        return [], []
    found = described.described(asked, asked)
    hits = [*_names(asked, found, number), *_parts(asked, found)]
    if sure or any(hit.unmet == 0 for hit in hits):
        return [hit for hit in hits if hit.unmet == 0], []
    parts, names, remarks = _read_otherwise(asked)
    if names and (parts, names) != (asked, asked):
        found = described.described(parts, names)
        hits = [*_names(names, found, number), *_parts(names, found)]
    return hits, remarks


def _read_otherwise(asked: tuple[Wish, ...]) -> tuple[tuple[Wish, ...], tuple[Wish, ...], list[str]]:
    """The wishes for parts and for names, with misspelt words read as what they are like; and in words."""
    every = {word for wish in asked for way in wish for word in way}
    have = described.known(every)

    def some(wish: Wish, present: frozenset[str]) -> bool:
        return any(all(word in present for word in way) for way in wish)

    unknown = [wish for wish in asked if not some(wish, have.anywhere)]
    near = described.alike({wish[0][0].rstrip("*") for wish in unknown}, have.by_likeness)
    parts, names, remarks = [], [], []
    for wish in asked:
        word = wish[0][0].rstrip("*")
        if wish in unknown and word in near:
            wish = tuple((other,) for other in near[word])
            remarks.append(f"{word} is on no record; read as {' or '.join(near[word])}")
        elif wish in unknown:
            remarks.append(f"{' '.join(wish[0]).replace('*', '')} is on no record and was left out")
            continue
        elif not some(wish, have.in_parts):
            names.append(wish)
            continue
        parts.append(wish)
        names.append(wish)
    return tuple(parts), tuple(names), remarks


def _parts(asked: Sequence[Wish], found: Iterable[Found]) -> list[Hit]:
    hits = []
    for one in found:
        if one.kind == "part":
            text = frozenset(words(" ".join((one.name, one.second, one.third, one.fourth)), most=None))
            met = [meets(text, wish) for wish in asked]
            told = [_said(wish) for wish, how in zip(asked, met, strict=True) if how]
            hits.append(
                Hit(
                    "part", "words", f"{one.name} {one.number}",
                    _detail(one.second, one.third),
                    f"described by {', '.join(told)}", (("brand", one.code), ("number", one.number)),
                    met.count(0), sum(met), comparable(one.number),
                )
            )  # fmt: skip
    return hits


def _names(asked: Sequence[Wish], found: Sequence[Found], number: str) -> list[Hit]:
    """Part types and families that meet the most words, and the pairs of them that are meant."""
    types = [Name(one.code, one.name, one.second) for one in found if one.kind == "part type"]
    families = [Name(one.code, one.name, one.second) for one in found if one.kind == "family"]
    hits = [_fitting(pair, asked) for pair in meant(asked, types, families)]
    for name in _best(families, asked):
        own = number in (comparable(name.code), comparable(name.name))
        why = "the engine family as asked" if own else f"engine family called {name.name}"
        what = "what fits this engine family"
        hits.append(
            _named("family", "family" if own else "words", name, what, why, ("family", name.code), asked)
        )
    for name in _best(types, asked):
        why, what = f"part type called {name.name}", "which of them fits an engine"
        hits.append(_named("part type", "words", name, what, why, ("part_type", name.code), asked))
    return hits


def _best(names: Sequence[Name], asked: Sequence[Wish]) -> list[Name]:
    most = max((len(name.met(asked)) for name in names), default=0)
    return [name for name in names if most and len(name.met(asked)) == most]


def _named(
    kind: Kind, found: Way, name: Name, what: str, why: str, key: tuple[str, str], asked: Sequence[Wish]
) -> Hit:
    met = [meets(name.words, wish) for wish in asked]
    return Hit(kind, found, name.name, what, why, (key,), met.count(0), sum(met))


def _fitting(pair: Pair, asked: Sequence[Wish]) -> Hit:
    unused = f"; not looked for: {', '.join(_said(asked[n]) for n in pair.unused)}" if pair.unused else ""
    return Hit(
        "fitting", "words", f"{pair.part_type.name} for {pair.family.name}", "which of them fits",
        f"part type {pair.part_type.name}, engine family {pair.family.name}{unused}",
        (("part_type", pair.part_type.code), ("family", pair.family.code)), len(pair.unused), -pair.more,
    )  # fmt: skip


def _detail(kind: str, description: str) -> str:
    """What a part is, without saying twice what its description begins with."""
    if description.casefold().startswith(kind.casefold()):
        return description
    return f"{kind}: {description}" if description else kind


def _said(wish: Wish) -> str:
    return " ".join(wish[0]).replace("*", "")
