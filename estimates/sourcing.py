"""Where the parts of a job are bought: what there is to choose from in words, choosing, and what is frozen.

For the shop's own people and software: it shows costs and suppliers, which no customer reads.
"""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import rfc8785

from catalog.cards import PartCard
from catalog.rules.interval import day_text
from estimates.actions import By, _changing
from estimates.builder import Built
from estimates.models import Job
from estimates.rules.plan import places_in_words
from estimates.rules.sourcing.asked import Purchase, Taken, Want
from estimates.rules.sourcing.passed_over import PassedOver, passed_over
from estimates.rules.sourcing.plans import PLANS, PlanName
from estimates.rules.sourcing.within import Wishes
from shop.events import record
from shop.models import Workshop
from shop.rules.currency import format_money
from shop.rules.entry import Faults

Json = dict[str, Any]
FORMAT = "tallybore-cost-basis/1"
TITLES: dict[PlanName, str] = {name: Workshop.SourcingPlan(name).label for name in PLANS}


def set_sourcing(
    job: Job,
    *,
    needed_by: date | None,
    plan: str,
    by: By,
    at: datetime,
    version: int | None = None,
) -> None:
    """By when the parts are needed, and which plan is followed ("" is the workshop's). Refused for a day that
    is past and for a plan there is not."""
    faults = Faults()
    if needed_by is not None and needed_by != job.needed_by and needed_by < at.date():
        faults.add("needed by", f"{day_text(needed_by)} is past", "give today or a later day, or none")
    if plan and plan not in PLANS:
        faults.add("plan", f"there is no plan {plan!r:.40}", f"give {', '.join(PLANS)}, or nothing")
    faults.refuse()
    with _changing(job, version):
        Job.objects.filter(pk=job.pk).update(needed_by=needed_by, sourcing_plan=plan)
        told = "" if needed_by is None else needed_by.isoformat()
        record("sourcing-set", job.number, at=at, by=by, plan=plan, needed_by=told)


def sourcing_content(built: Built) -> Json:
    """The three plans, what each want of the followed one is bought as, and what was passed over.

    JSON values; amounts are decimal text in the shop's currency, days ISO 8601."""
    bought, wishes = built.bought, built.bought.buying.wishes
    plans = bought.buying.plans
    return {
        "currency": built.terms.currency,
        "plan": wishes.plan,
        "chosen_for_this_job": bool(built.job.sourcing_plan),
        "needed_by": None if wishes.needed_by is None else wishes.needed_by.isoformat(),
        "plans": [_plan(name, plans[name], wishes) for name in PLANS],
        "lines": [_line(built, want) for want in bought.buying.left.basket.wants],
        "unmet": [
            {
                "name": one.want.name,
                "where": _where(built, one.want),
                "text": one.text,
                "possible_on": None if one.possible is None else one.possible.isoformat(),
            }
            for one in bought.buying.unmet
        ],
    }


def _plan(name: PlanName, purchase: Purchase | None, wishes: Wishes) -> Json:
    if purchase is None:
        return {"plan": name, "title": TITLES[name], "followed": False, "possible": False}
    names = {one.source.supplier: one.source.offer.supplier_name for one in purchase.taken}
    return {
        "plan": name,
        "title": TITLES[name],
        "followed": name == wishes.plan,
        "possible": True,
        "goods": _money(purchase.goods),
        "deposits": _money(purchase.deposits),
        "freight": _money(purchase.freight),
        "total": _money(purchase.total),
        "complete_on": (wishes.today + timedelta(days=purchase.days)).isoformat(),
        "suppliers": [
            {"code": code, "name": names[code], "freight": _money(freight)}
            for code, freight in purchase.freight_by_supplier.items()
        ],
    }


def _line(built: Built, want: Want) -> Json:
    buying, parts = built.bought.buying, built.bought.parts
    way = buying.way[want.key]
    return {
        "name": want.name,
        "where": _where(built, want),
        "pieces": want.pieces,
        "taken": [
            _taken(one, parts[part], buying.wishes.today)
            for part, _ in way
            for one in buying.purchase.of(part)
        ],
        "passed_over": [
            _passed(one, parts[one.source.part], built.terms.currency, buying.wishes)
            for one in passed_over(buying, want)
        ],
    }


def _where(built: Built, want: Want) -> str:
    family = built.book.family
    found = (family.position(code) for (_, code), of in built.bought.wanted.items() if of.key == want.key)
    return places_in_words(tuple(place for place in found if place is not None))


def _taken(one: Taken, part: PartCard, today: date) -> Json:
    offer, kind = one.source.offer, one.source.kind
    return {
        "part": {"brand": part.brand, "number": part.number, "shown": part.label, "grade": part.grade},
        "from": offer.supplier_name,
        "supplier": one.source.supplier or None,
        "supplier_number": offer.supplier_number,
        "pieces": one.pieces,
        "price": _money(one.price),
        "deposit": _money(offer.deposit),
        "arrives_on": None if kind == "list" else (today + timedelta(days=offer.lead_days)).isoformat(),
    }


def _passed(one: PassedOver, part: PartCard, currency: str, wishes: Wishes) -> Json:
    offer = one.source.offer
    return {
        "part": part.label,
        "from": offer.supplier_name,
        "price": _money(one.price),
        "reason": one.kind,
        "dearer_by": _money(one.more) if one.more > 0 else None,
        "text": _why(one, currency, wishes),
    }


def _why(one: PassedOver, currency: str, wishes: Wishes) -> str:
    offer, more = one.source.offer, format_money(abs(one.more), currency)
    sold = [f"in packs of {offer.pack}"] if offer.pack > 1 else []
    sold += [f"{offer.minimum_quantity} at least"] if offer.minimum_quantity > 1 else []
    texts = {
        "blocked": "nothing is bought from this supplier",
        "grade": "it is not an original part",
        "late": f"it would be there on {day_text(one.arrives)}" if one.arrives else "",
        "shelf": "there are too few of it",
        "packs": f"sold {' and '.join(sold)}: in all {more} more" if sold else f"in all {more} more",
        "deposit": f"with its deposit {more} more",
        "freight": f"with freight {more} more",
        "wish": f"what the shop prefers may cost more: {_premiums(wishes)}",
        "suppliers": "it would take one more order",
        "days": "everything would be there later",
        "same": "it would come to the same",
    }
    return texts[one.kind]


def _premiums(wishes: Wishes) -> str:
    told = []
    if wishes.grade == "preferred" and wishes.original_premium:
        told.append(f"an original part {wishes.original_premium.normalize():f} %")
    if wishes.preferred_premium:
        told.append(f"a preferred supplier {wishes.preferred_premium.normalize():f} %")
    return " and ".join(told)


def cost_basis(built: Built) -> str:
    """What the prices rest on, as canonical JSON (RFC 8785), to be kept with the issued estimate."""
    content = sourcing_content(built)
    supplies = [
        {
            "part_type": part_type,
            "position": position,
            "parts": [
                {
                    "brand": piece.part.brand,
                    "number": piece.part.number,
                    "per": piece.per,
                    "cost": _money(piece.cost),
                    "price": _money(piece.price),
                    "deposit": _money(piece.deposit),
                    "why": piece.why,
                    "taken": [
                        {
                            "supplier": one.source.supplier or None,
                            "from": one.source.offer.supplier_name,
                            "pieces": one.pieces,
                            "price": _money(one.price),
                            "stated_on": one.source.offer.stated_on.isoformat(),
                        }
                        for one in piece.taken
                    ],
                }
                for piece in supply.pieces
            ],
        }
        for (part_type, position), supply in sorted(built.supplies.items())
    ]
    frozen = {"format": FORMAT, **content, "supplies": supplies}
    return rfc8785.dumps(frozen).decode()


def _money(amount: Decimal) -> str:
    """With two places at least, without padding beyond."""
    plain = amount.normalize()
    exponent = plain.as_tuple().exponent
    places = max(2, -exponent if isinstance(exponent, int) else 2)
    return f"{amount:.{places}f}"
