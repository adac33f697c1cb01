"""An invented trade's catalogue of any size, the same for the same seed, one row after the other.

Sizes follow from the number of applications: a tenth of it parts, three offers and five specs a part, one
engine family for every 500 applications. Every family has parts of 25 of 300 types; a (family, type) pair
has 5 to about 40 applications of parts that neighbouring families use as well. Every third application has
a limit of its own: build dates, serial numbers, an option or a single cylinder. One part type holds an
eighth of all parts, so that there is a spec table of thousands of pages.

Rows come in the order in which brands' lists come in: part by part. The applications of one family are
thus scattered over the whole table.
"""

import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

VERSION = 1  # of what is generated: a stored database of another version is made anew
TYPES, TYPES_A_FAMILY = 300, 25
BRANDS, SUPPLIERS, MAKERS, SCHEMES, PROPERTIES, SOURCES = 120, 60, 40, 20, 200, 50
CYLINDERS = (4, 4, 6, 8, 3, 4, 6, 5)
OPTIONS = (("connector", ("4-way", "9-way", "12-way")), ("duty", ("road", "marine", "stationary")))
Row = tuple[Any, ...]


@dataclass(frozen=True)
class Table:
    """Rows of one model; columns that are not named take the model's default."""

    model: str
    columns: Sequence[str]
    rows: Iterable[Row]


def euros(cents: int) -> str:
    return f"{cents // 100}.{cents % 100:02d}"


@dataclass(frozen=True)
class Trade:
    """`size` is the number of applications aimed at; the true number is a few percent beside it."""

    size: int
    seed: int = 1

    @property
    def parts(self) -> int:
        return self.size // 10

    @property
    def families(self) -> int:
        return max(12, self.size // 500)

    def random(self, name: str) -> random.Random:
        return random.Random(f"{self.seed}/{name}")

    # The plan: which part is of which type, and which families use it

    def type_of(self, part: int) -> tuple[int, int]:
        """Type (from 0) and place within the type, of a part counted from 0."""
        if part % 8 == 0:
            return 0, part // 8
        other = part - part // 8 - 1
        return 1 + other % (TYPES - 1), other // (TYPES - 1)

    def held_by(self, kind: int) -> int:
        """How many parts a type has."""
        first = -(-self.parts // 8)
        if kind == 0:
            return first
        others = self.parts - first
        return others // (TYPES - 1) + (1 if others % (TYPES - 1) >= kind else 0)

    def pairs_of(self, kind: int) -> int:
        """How many families use a type."""
        if kind == 0:
            return self.families
        every = self.families * (TYPES_A_FAMILY - 1)
        return every // (TYPES - 1) + (1 if every % (TYPES - 1) >= kind else 0)

    def family_of(self, kind: int, pair: int) -> int:
        """The family (from 0) of the n-th pair of a type; rises with n."""
        return pair if kind == 0 else (pair * (TYPES - 1) + kind - 1) // (TYPES_A_FAMILY - 1)

    def window(self, kind: int, pair: int) -> tuple[int, int]:
        """Which stretch of the type's parts a family uses: first, and how many."""
        held, pairs = self.held_by(kind), self.pairs_of(kind)
        count = min(held, 4 + (pair * 7919 + kind * 31) % 23)
        return (pair * (held - count)) // max(1, pairs), count

    def users_of(self, part: int) -> Iterator[int]:
        """The families that use a part, rising."""
        kind, place = self.type_of(part)
        held, pairs = self.held_by(kind), self.pairs_of(kind)
        first = max(0, ((place - 27) * pairs) // max(1, held) - 2)
        last = min(pairs - 1, (place * pairs) // max(1, held - 27) + 2)
        for pair in range(first, last + 1):
            start, count = self.window(kind, pair)
            if start <= place < start + count:
                yield self.family_of(kind, pair)

    def cylinders(self, family: int) -> int:
        return CYLINDERS[family % len(CYLINDERS)]

    def first_year(self, family: int) -> int:
        return 1985 + family % 30

    def first_position(self, family: int) -> int:
        """Id of a family's engine position; its cylinders follow."""
        whole, rest = divmod(family, len(CYLINDERS))
        return 1 + whole * (sum(CYLINDERS) + len(CYLINDERS)) + sum(CYLINDERS[:rest]) + rest

    # The rows

    def tables(self) -> Iterator[Table]:
        """Every table, each after those it points to."""
        yield from self._lists()
        yield from self._engines()
        yield Table(
            "Part",
            (
                "id",
                "brand_id",
                "number",
                "normalised",
                "part_type_id",
                "grade",
                "list_price",
                "list_currency",
            ),
            self._parts(),
        )
        yield Table(
            "Application",
            ("id", "part_id", "part_type_id", "family_id", "ordinal", "polarity", "scope", "position_id",
             "quantity", "built_from", "built_until", "serial_from", "serial_until"),
            self._applications(),
        )  # fmt: skip
        yield Table("ApplicationOption", ("id", "application_id", "option_id", "value"), self._options())
        yield Table(
            "Replacement", ("id", "old_id", "new_id", "both_ways", "valid_from"), self._replacements()
        )
        groups = range(0, self.parts - 8 * 8, 1000)
        yield Table(
            "InterchangeGroup",
            ("id", "code", "part_type_id", "name"),
            ((n, f"alike-{n}", 1, f"alike {n}") for n, _ in enumerate(groups, start=1)),
        )
        yield Table(
            "InterchangeMember",
            ("id", "group_id", "part_id"),
            (
                (n * 3 + m + 1, n + 1, part - part % 8 + 8 * m + 1)
                for n, part in enumerate(groups)
                for m in range(3)
            ),
        )
        yield Table(
            "Offer",
            ("id", "supplier_id", "part_id", "supplier_number", "supplier_normalised", "price", "pack",
             "minimum_quantity", "lead_days", "valid_from", "valid_until"),
            self._offers(),
        )  # fmt: skip
        yield Table(
            "PriceBreak",
            ("id", "offer_id", "quantity_from", "price"),
            ((n + 1, 10 * n + 1, 10, "0.9500") for n in range(self.parts * 3 // 10)),
        )
        yield Table(
            "Spec",
            ("id", "property_id", "part_type_id", "part_id", "nominal", "places", "source_id", "verified"),
            self._specs(),
        )

    def _lists(self) -> Iterator[Table]:
        named = ("id", "code", "name")
        for model, stem, count in (
            ("Maker", "maker", MAKERS),
            ("Brand", "brand", BRANDS),
            ("PartType", "type", TYPES),
        ):
            yield Table(model, named, [(n, f"{stem}-{n}", f"{stem} {n}") for n in range(1, count + 1)])
        yield Table(
            "SerialScheme",
            (*named, "prefixes", "digits"),
            [
                (n, f"scheme-{n}", f"scheme {n}", f"{chr(64 + n)}A {chr(64 + n)}B", 6)
                for n in range(1, SCHEMES + 1)
            ],
        )
        yield Table(
            "Supplier",
            (*named, "currency", "blocked"),
            [(n, f"supplier-{n}", f"supplier {n}", "EUR" if n % 20 else "JPY", n % 30 == 0)
             for n in range(1, SUPPLIERS + 1)],
        )  # fmt: skip
        yield Table(
            "Property",
            (*named, "unit"),
            [(n, f"property-{n}", f"property {n}", "mm") for n in range(1, PROPERTIES + 1)],
        )
        yield Table(
            "Source", ("id", "code", "title"), [(n, f"book-{n}", f"book {n}") for n in range(1, SOURCES + 1)]
        )

    def _engines(self) -> Iterator[Table]:
        yield Table(
            "EngineFamily",
            ("id", "code", "maker_id", "name", "layout", "cylinders", "voltage", "numbering",
             "serial_scheme_id"),
            ((f + 1, f"family-{f + 1}", 1 + f % MAKERS, f"Family {f + 1}", "inline", self.cylinders(f),
              "12.0", "maker", 1 + f % SCHEMES) for f in range(self.families)),
        )  # fmt: skip
        yield Table("Position", ("id", "family_id", "code", "scope", "ordinal"), self._positions())
        yield Table(
            "EngineOption",
            ("id", "family_id", "code", "name"),
            ((2 * f + n + 1, f + 1, code, f"the {code}") for f in range(self.families)
             for n, (code, _) in enumerate(OPTIONS)),
        )  # fmt: skip
        yield Table(
            "EngineOptionValue",
            ("id", "option_id", "value"),
            ((6 * f + 3 * n + v + 1, 2 * f + n + 1, value) for f in range(self.families)
             for n, (_, values) in enumerate(OPTIONS) for v, value in enumerate(values)),
        )  # fmt: skip

    def _positions(self) -> Iterator[Row]:
        for family in range(self.families):
            first = self.first_position(family)
            yield first, family + 1, "engine", "engine", 0
            for cylinder in range(1, self.cylinders(family) + 1):
                yield first + cylinder, family + 1, str(cylinder), "cylinder", cylinder

    def _parts(self) -> Iterator[Row]:
        chance = self.random("parts").random
        for part in range(self.parts):
            kind, _ = self.type_of(part)
            number = self.number(part)
            brand = 1 + part * BRANDS // self.parts
            grade = "original" if brand % 4 == 0 else "equivalent"
            normalised = number.replace("-", "").replace("/", "")
            yield (
                part + 1,
                brand,
                number,
                normalised,
                kind + 1,
                grade,
                euros(200 + int(chance() * 30_000)),
                "EUR",
            )

    def number(self, part: int) -> str:
        """A part number like QF-012-3456/7: no two parts have the same."""
        letters, digits = divmod(part * 2_654_435_761 % 2**32, 10_000_000)
        figures = f"{digits:07d}"
        return f"{chr(65 + letters // 26)}{chr(65 + letters % 26)}-{figures[:3]}-{figures[3:6]}/{figures[6]}"

    def limits(self, part: int, family: int, ordinal: int) -> int:
        """0 to 99, from the row alone: which limits it has."""
        return (part * 1_000_003 + family * 7_919 + ordinal * 101) % 2_147_483_647 % 100

    def rules(self) -> Iterator[tuple[int, int, int, int, int]]:
        """Id, part, family, ordinal and draw of every application."""
        key = 0
        for part in range(self.parts):
            for family in self.users_of(part):
                draw = self.limits(part, family, 1)
                for ordinal in range(1, 2 + (draw % 3 == 0)):
                    key += 1
                    yield key, part, family, ordinal, self.limits(part, family, ordinal)

    def _applications(self) -> Iterator[Row]:
        for key, part, family, ordinal, draw in self.rules():
            kind, _ = self.type_of(part)
            scope = "engine" if kind % 3 == 0 else "cylinder"
            position = built_from = built_until = None
            serial_from = serial_until = ""
            year = self.first_year(family)
            if draw < 12:
                built_from = f"{year + draw % 5}-{1 + draw % 12:02d}-01" if draw % 2 else None
                built_until = f"{year + 5 + draw % 4}-12-31" if draw % 3 else None
            elif draw < 20:
                letter = chr(65 + family % SCHEMES)
                serial_from = f"{letter}A{draw * 20_000:06d}" if draw % 2 else ""
                serial_until = f"{letter}B{draw * 10_000:06d}"
            elif 28 <= draw < 31 and scope == "cylinder":
                position = self.first_position(family) + 1 + draw % 3
            polarity = "excludes" if draw in (3, 14, 31) and ordinal > 1 else "applies"
            quantity = 1 + (kind % 7 == 0)
            yield (key, part + 1, kind + 1, family + 1, ordinal, polarity, scope, position, quantity,
                   built_from, built_until, serial_from, serial_until)  # fmt: skip

    def _options(self) -> Iterator[Row]:
        count = 0
        for key, _, family, _, draw in self.rules():
            if 20 <= draw < 28:
                count += 1
                option = draw % 2
                yield count, key, 2 * family + option + 1, OPTIONS[option][1][draw % 3]

    def _replacements(self) -> Iterator[Row]:
        """Every fortieth part of a type went over to the next one but one; a few were replaced again."""
        step = 8 * (TYPES - 1)
        for n, part in enumerate(range(1, self.parts - 2 * step - 8, 40), start=1):
            new = part
            while new <= part or self.type_of(new)[0] != self.type_of(part)[0]:
                new += 8 if part % 8 == 0 else 1
            yield n, part + 1, new + 1, n % 5 == 0, "2020-01-01" if n % 3 else None

    def _offers(self) -> Iterator[Row]:
        """Three a part: two suppliers, and of the second an older price. A few have ended."""
        chance = self.random("offers").random
        key = 0
        for part in range(self.parts):
            cents = 200 + int(chance() * 30_000)
            first = 1 + part % SUPPLIERS
            second = 1 + (part * 7 + 1 + part // SUPPLIERS) % SUPPLIERS
            if second == first:
                second = 1 + first % SUPPLIERS
            for n, (supplier, day) in enumerate(
                ((first, "2024-03-01"), (second, "2023-01-01"), (second, "2024-05-01"))
            ):
                key += 1
                draw = int(chance() * 100)
                own = f"{supplier}-{key}" if draw < 50 else ""
                price = euros(cents * (80 + int(chance() * 33)) // 100)
                yield (key, supplier, part + 1, own, own.replace("-", ""), price,
                       1 + (draw % 10 == 0), 1 + (draw % 25 == 0), draw % 9, day,
                       "2024-12-31" if n == 0 and draw < 8 else None)  # fmt: skip

    def _specs(self) -> Iterator[Row]:
        chance = self.random("specs").random
        key = 0
        for part in range(self.parts):
            kind, _ = self.type_of(part)
            for n in range(5):
                key += 1
                yield (key, 1 + (kind * 5 + n) % PROPERTIES, kind + 1, part + 1, f"{chance() * 200:.2f}", 2,
                       1 + part % SOURCES, n < 3)  # fmt: skip
