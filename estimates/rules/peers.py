"""Does one position stand out from the others of the same engine?

Heaters of one engine read close together, whatever their limits. Each value is compared with the middle
one, in terms of how far the values usually lie from it: M = 0.6745 x (value - median) / MAD, where MAD is
the median of the distances from the median. Beyond 3.5 either way a position is uneven. Of these ten the
last two are:

>>> values = [Decimal(v) for v in "2.1 2.6 2.4 2.5 2.3 2.1 2.3 2.6 8.2 8.3".split()]
>>> for position, reason in uneven({str(n): value for n, value in enumerate(values, 1)}).items():
...     print(position, reason)
9 8.2 lies apart from 2.45, the middle of 10 positions (modified z-score 25.86, uneven beyond 3.5)
10 8.3 lies apart from 2.45, the middle of 10 positions (modified z-score 26.31, uneven beyond 3.5)

Source: B. Iglewicz, D. C. Hoaglin, "How to Detect and Handle Outliers" (1993). They define no score where
more than half the values are equal and MAD is 0. Our policy there:

- where the meter's resolution is known, MAD is taken as no less than it: one count is no difference;
- else an equal value scores 0 and any other has no score (None). It is called uneven, because all that
  can come of it is that somebody measures once more.

Fewer than three positions are no comparison.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from statistics import median

from estimates.rules.reading import Judgement
from shop.rules.errors import Refused
from shop.rules.rounding import round_half_up

SCALE = Decimal("0.6745")
UNEVEN_BEYOND = Decimal("3.5")
FEWEST = 3


def modified_z(
    values: Sequence[Decimal], *, spread_at_least: Decimal = Decimal(0)
) -> tuple[Decimal | None, ...]:
    """The modified z-score of each value, in order; None where it has none (see the policy above)."""
    if spread_at_least < 0:
        raise Refused.single("meter, resolution", f"{spread_at_least} is negative", "give zero or more")
    if not values:
        return ()
    middle = median(values)
    spread = max(median(abs(value - middle) for value in values), spread_at_least)
    if spread == 0:
        return tuple(Decimal(0) if value == middle else None for value in values)
    return tuple(SCALE * (value - middle) / spread for value in values)


def uneven(values: Mapping[str, Decimal], *, resolution: Decimal = Decimal(0)) -> dict[str, str]:
    """The positions that stand out, each with the reason. `values`: position -> value, one unit for all."""
    if len(values) < FEWEST:
        return {}
    middle = median(values.values())
    scores = modified_z(list(values.values()), spread_at_least=resolution)
    found = {}
    for (position, value), score in zip(values.items(), scores, strict=True):
        apart = f"{_shown(value)} lies apart from {_shown(middle)}, the middle of {len(values)} positions"
        if score is None:
            found[position] = f"{apart}, most of which agree exactly"
        elif abs(score) > UNEVEN_BEYOND:
            shown = round_half_up(score, 2)
            found[position] = f"{apart} (modified z-score {shown}, uneven beyond {UNEVEN_BEYOND})"
    return found


def _shown(value: Decimal) -> Decimal:
    exponent = value.as_tuple().exponent
    # A value corrected for temperature can carry 28 digits; nobody reads them.
    return round_half_up(value, 6) if isinstance(exponent, int) and exponent < -6 else value


def with_peers(
    judgements: Mapping[str, Judgement], *, resolution: Decimal = Decimal(0)
) -> dict[str, Judgement]:
    """The judgements of one test point by position, with each good but uneven one turned to unclear.

    Bad and unclear ones stay as they are; open circuits and lamps have no value and take no part.
    """
    values = {p: judged.corrected for p, judged in judgements.items() if judged.corrected is not None}
    standing_out = uneven(values, resolution=resolution)
    return {
        position: replace(
            judged,
            outcome="unclear",
            reason=f"{judged.reason}; but beside the other positions it is uneven: {standing_out[position]}",
        )
        if judged.outcome == "good" and position in standing_out
        else judged
        for position, judged in judgements.items()
    }
