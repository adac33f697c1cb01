"""Writes of what a person sets on a job's price: hand-written lines, discounts, money paid in advance.

Each counts the job's version up and leaves an event, like every other write about a job.
"""

from datetime import datetime

from estimates.actions import By, _changing
from estimates.models import Discount, DraftChoice, HandLine, Job, Payment
from estimates.rules.byhand import DiscountIn, HandIn, PaymentIn
from estimates.rules.byhand_entry import next_key, refund_fits
from estimates.rules.intake import JobIn
from shop.events import record
from shop.rules.entry import Faults


def save_hand_line(job: Job, hand: HandIn, *, by: By, at: datetime, version: int | None = None) -> HandLine:
    """Write a line down; one of the same key is replaced. Without a key it takes the next free one."""
    with _changing(job, version):
        taken = HandLine.objects.filter(job=job).values_list("key", flat=True)
        row, _ = HandLine.objects.update_or_create(
            job=job,
            key=hand.key or next_key(taken),
            defaults={
                "group": hand.group,
                "category": hand.category,
                "text": hand.text,
                "reason": hand.reason,
                "quantity": hand.quantity,
                "unit_price": hand.unit_price,
                "unit_cost": hand.unit_cost,
            },
        )
        record(
            "line-written", job.number, at=at, by=by, line=row.key, text=hand.text, price=str(hand.unit_price)
        )
    return row


def delete_hand_line(job: Job, line: HandLine, *, by: By, at: datetime, version: int | None = None) -> None:
    """Take a line off, and with it the discount and the switch on it."""
    with _changing(job, version):
        Discount.objects.filter(job=job, item=line.key).delete()
        DraftChoice.objects.filter(job=job, item=line.key).delete()
        record("line-removed", job.number, at=at, by=by, line=line.key, text=line.text)
        line.delete()


def save_discount(
    job: Job, discount: DiscountIn, *, by: By, at: datetime, version: int | None = None
) -> Discount:
    """Set a discount; one on the same item, or on the document, is replaced."""
    with _changing(job, version):
        row, _ = Discount.objects.update_or_create(
            job=job,
            item=discount.item,
            defaults={"percent": discount.percent, "amount": discount.amount, "reason": discount.reason},
        )
        record("discount-set", job.number, at=at, by=by, item=discount.item, **_off(discount))
    return row


def delete_discount(
    job: Job, discount: Discount, *, by: By, at: datetime, version: int | None = None
) -> None:
    with _changing(job, version):
        record("discount-removed", job.number, at=at, by=by, item=discount.item, reason=discount.reason)
        discount.delete()


def add_payment(job: Job, payment: PaymentIn, *, by: By, at: datetime, version: int | None = None) -> Payment:
    """Write down money received in advance, or given back. Refused where more would go back than came."""
    with _changing(job, version):
        rows = Payment.objects.filter(job=job).values_list("amount", "received_on", "how", "note")
        faults = Faults()
        refund_fits((PaymentIn(*row) for row in rows), payment, "payment", faults)
        faults.refuse()
        row = Payment.objects.create(
            job=job,
            amount=payment.amount,
            received_on=payment.received_on,
            how=payment.how,
            note=payment.note,
        )
        what = "payment-received" if payment.amount > 0 else "payment-given-back"
        record(what, job.number, at=at, by=by, amount=str(payment.amount), how=payment.how)
    return row


def keep_by_hand(row: Job, job: JobIn, *, by: By, at: datetime) -> None:
    """What a job file sets on the price."""
    for hand in job.hand_lines:
        save_hand_line(row, hand, by=by, at=at)
    for discount in job.discounts:
        save_discount(row, discount, by=by, at=at)
    for payment in job.payments:
        add_payment(row, payment, by=by, at=at)


def _off(discount: DiscountIn) -> dict[str, str]:
    off = f"{discount.percent} %" if discount.percent is not None else str(discount.amount)
    return {"off": off, "reason": discount.reason}
