"""How a worked example is written down, and how it is held against the estimate the product makes.

An example is three tables: the minutes with who shares them, the parts with what they cost, and what every
line that is not firm adds. All figures were copied from the demonstration's tables and worked out by hand;
the sums under them are literals, so that a slip in the helper cannot hide.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from tests.worked_examples.pencil import D, built, cost_in_the_data, labour, rows, sold, with_tax


@dataclass(frozen=True)
class Minutes:
    """Minutes of one piece of work; `by` says how many tasks of which item need it.

    `table` and `code` say where the figure stands: `first` is the first position, `further` each further
    one, `extra` what the first takes more than a further one.
    """

    what: str
    minutes: int
    by: dict[str, int]
    table: str
    code: str
    kind: str = "first"

    def in_the_data(self, family: str) -> int:
        (row,) = rows(self.table, family=family, code=self.code)
        if self.kind == "extra":
            return int(row["minutes"]) - int(row["minutes_further"])
        if self.kind == "further":
            return int(row["minutes_further"]) * sum(self.by.values())
        return int(row["minutes"])


@dataclass(frozen=True)
class Part:
    """Pieces of one part: from whom, at what cost and list price, and what a piece sells for."""

    item: str
    number: str
    supplier: str
    cost: str
    listed: str | None
    price: str
    pieces: int = 1
    deposit: str = "0.00"

    @property
    def net(self) -> Decimal:
        return D(self.price) * self.pieces


@dataclass(frozen=True)
class More:
    """What one line that is not firm adds: its minutes now, its parts, and the sum with tax."""

    key: str
    minutes: int
    parts: tuple[Part, ...]
    adds: str


@dataclass(frozen=True)
class Example:
    job: str
    family: str
    work: tuple[Minutes, ...]
    firm_minutes: int
    labour: dict[str, str]
    parts: tuple[Part, ...]
    more: tuple[More, ...]
    ceiling_of: tuple[str, ...]
    firm: str
    ceiling: str
    options: str

    # By hand

    def shares(self) -> dict[str, Fraction]:
        """Minutes of each item: shared ones split equally among all tasks that need them."""
        found: dict[str, Fraction] = {}
        for row in self.work:
            for item, users in row.by.items():
                found[item] = found.get(item, Fraction(0)) + Fraction(
                    row.minutes * users, sum(row.by.values())
                )
        return found

    def foot(self, keys: tuple[str, ...]) -> Decimal:
        chosen = [one for one in self.more if one.key in keys]
        minutes = self.firm_minutes + sum(one.minutes for one in chosen)
        parts = [*self.parts, *(part for one in chosen for part in one.parts)]
        return with_tax(minutes, sum((part.net + D(part.deposit) * part.pieces for part in parts), D("0")))

    def check_the_pencil(self) -> None:
        """The tables agree with the data they were copied from, and their sums with each other."""
        for row in self.work:
            assert row.minutes == row.in_the_data(self.family), row
        assert sum(row.minutes for row in self.work) == self.firm_minutes
        for part in (*self.parts, *(part for one in self.more for part in one.parts)):
            assert D(cost_in_the_data(part.supplier, part.number)) == D(part.cost), part
            (row,) = rows("parts", number=part.number)
            assert (row["list_price"] or None) == part.listed, part
            assert sold(part.cost, part.listed) == D(part.price), part
        billed = labour(self.firm_minutes)
        assert sum((D(amount) for amount in self.labour.values()), D("0")) == billed
        whole = sum(self.shares().values())
        for item, share in self.shares().items():
            exact = Fraction(billed) * share / whole
            assert abs(exact - Fraction(self.labour[item])) < Fraction(1, 100), item
        assert self.foot(()) == D(self.firm)
        for one in self.more:
            assert self.foot((one.key,)) - self.foot(()) == D(one.adds), one.key
        assert self.foot(self.ceiling_of) == D(self.ceiling)
        assert self.foot(tuple(one.key for one in self.more)) == D(self.options)

    # By the product

    def check_the_product(self) -> None:
        """Every minute, price, share and total of the estimate is the one worked out by hand."""
        priced = built(self.job).priced
        assert priced.problems == ()
        assert priced.labour.minutes == self.firm_minutes
        firm = {one.item.key: one for one in priced.group("firm")}
        assert {key: one.lines[0].net for key, one in firm.items() if key != "access"} == {
            key: D(amount) for key, amount in self.labour.items()
        }
        assert sorted(_bought(priced.group("firm"))) == sorted(_listed(self.parts))
        others = {one.item.key: one for one in priced.items if one.adds is not None}
        assert {key: (one.minutes, one.adds) for key, one in others.items()} == {
            one.key: (one.minutes, D(one.adds)) for one in self.more
        }
        for one in self.more:
            assert sorted(_bought([others[one.key]])) == sorted(_listed(one.parts)), one.key
        assert priced.firm.with_tax == D(self.firm)
        assert priced.ceiling.with_tax == D(self.ceiling)
        assert priced.options.with_tax == D(self.options)


def _bought(items) -> list[tuple[str, str, str, Decimal, int, Decimal]]:
    return [
        (one.item.key, line.piece.part.number, line.piece.offer.supplier, line.unit_price, line.quantity,
         line.piece.deposit)
        for one in items for line in one.lines if line.kind in ("part", "consumable")
    ]  # fmt: skip


def _listed(parts: tuple[Part, ...]) -> list[tuple[str, str, str, Decimal, int, Decimal]]:
    return [
        (part.item, part.number, part.supplier, D(part.price), part.pieces, D(part.deposit)) for part in parts
    ]
