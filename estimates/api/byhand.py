"""What a person sets on a job's price: hand-written lines, discounts, money paid in advance."""

from django.http import Http404
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.api.changes import JobChange, changes_a_job
from estimates.api.desk import Desk
from estimates.api.job_file_shape import (
    DiscountFileSerializer,
    HandLineFileSerializer,
    PaymentFileSerializer,
)
from estimates.builder import build
from estimates.byhand import add_payment, delete_discount, delete_hand_line, save_discount, save_hand_line
from estimates.models import Discount, HandLine, Payment
from estimates.queries import the_workshop
from estimates.rules.byhand_entry import discount_entry, hand_entry, payment_entry
from shop.api.permissions import signed_in
from shop.rules.entry import Faults

DOCUMENT = "document"


class HandLinesView(JobChange):
    """A line that no service data brings: bought-in work, a fee, a part. One of the same key is replaced;
    without a key it takes the next free one."""

    queryset = HandLine.objects.all()

    @changes_a_job(HandLineFileSerializer, operation_id="hand_lines_write")
    def post(self, request: Request, number: str) -> Response:
        def write(desk: Desk, seen: int | None) -> None:
            faults = Faults()
            hand = hand_entry(request.data, "line", the_workshop().currency, faults)
            faults.refuse()
            assert hand is not None
            save_hand_line(desk.job, hand, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, write)


class HandLineView(JobChange):
    """One hand-written line, named by its key."""

    queryset = HandLine.objects.all()

    @changes_a_job(operation_id="hand_lines_remove")
    def delete(self, request: Request, number: str, key: str) -> Response:
        def remove(desk: Desk, seen: int | None) -> None:
            row = next((row for row in HandLine.objects.filter(job=desk.job) if row.key == key), None)
            if row is None:
                raise Http404(f"Job {number} has no hand-written line {key!r}.")
            delete_hand_line(desk.job, row, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, remove)


class DiscountsView(JobChange):
    """A discount on one item, or on the whole document where `item` is left out. One on the same item is
    replaced."""

    queryset = Discount.objects.all()

    @changes_a_job(DiscountFileSerializer, operation_id="discounts_set")
    def post(self, request: Request, number: str) -> Response:
        def give(desk: Desk, seen: int | None) -> None:
            now, faults = timezone.localtime(), Faults()
            discount = discount_entry(request.data, "discount", the_workshop().currency, faults)
            if discount is not None and discount.item:
                items = build(desk.brought, now.date(), book=desk.book).plan.items
                if discount.item not in {item.key for item in items}:
                    faults.near("discount, item", "item", discount.item, [item.key for item in items])
            faults.refuse()
            assert discount is not None
            save_discount(desk.job, discount, by=signed_in(request), at=now, version=seen)

        return self.change(request, number, give)


class DiscountView(JobChange):
    """One discount, named by its item, or "document"."""

    queryset = Discount.objects.all()

    @changes_a_job(operation_id="discounts_remove")
    def delete(self, request: Request, number: str, item: str) -> Response:
        def remove(desk: Desk, seen: int | None) -> None:
            wanted = "" if item == DOCUMENT else item
            row = next((row for row in Discount.objects.filter(job=desk.job) if row.item == wanted), None)
            if row is None:
                raise Http404(f"Job {number} has no discount on {item!r}.")
            delete_discount(desk.job, row, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, remove)


class PaymentsView(JobChange):
    """Money received in advance. Nothing is changed or taken off again: what was given back is a negative
    amount."""

    queryset = Payment.objects.all()

    @changes_a_job(PaymentFileSerializer, operation_id="payments_add")
    def post(self, request: Request, number: str) -> Response:
        def receive(desk: Desk, seen: int | None) -> None:
            now, faults = timezone.localtime(), Faults()
            payment = payment_entry(request.data, "payment", the_workshop().currency, now.date(), faults)
            faults.refuse()
            assert payment is not None
            add_payment(desk.job, payment, by=signed_in(request), at=now, version=seen)

        return self.change(request, number, receive)
