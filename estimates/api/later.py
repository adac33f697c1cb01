"""What the work on a job may come to, and what waits on its unit from earlier visits."""

from decimal import Decimal
from typing import Any

from django.http import Http404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.api.changes import JobChange, changes_a_job
from estimates.api.decision_shape import AuthorisedSerializer, LaterSerializer
from estimates.api.desk import Desk, desk_for
from estimates.api.renderers import PlainJSONRenderer
from estimates.builder import build
from estimates.later import Offer, give_up, open_row, take_in, waiting
from estimates.models import Job, LaterItem
from estimates.overrun import may_go_on
from shop.api.fields import money_text
from shop.api.filters import check_parameters
from shop.api.permissions import signed_in
from shop.api.views import Api

Json = dict[str, Any]


class AuthorisedView(Api):
    """What the customer authorised beside what the work now comes to, and whether it may go on."""

    queryset = Job.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses=AuthorisedSerializer, operation_id="jobs_authorised")
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        desk, today = desk_for(number), timezone.localdate()
        answer = may_go_on(desk.job, build(desk.brought, today, book=desk.book), today)
        held = answer.comparison
        return Response(
            {
                "may_go_on": answer.ok,
                "reason": answer.reason,
                "currency": answer.currency,
                "before_tax": answer.before_tax,
                "authorised": None if held is None else str(held.limit.authorised),
                "tolerance": None if held is None else str(held.limit.tolerance),
                "tolerance_in_words": "" if held is None else held.limit.how,
                "most": None if held is None else str(held.limit.most),
                "now": None if held is None else str(held.total),
                "over": None if held is None else str(held.over),
            }
        )


class LaterView(Api):
    """What was declined or advised on earlier visits of the job's unit and still waits; where the present
    work opens the same access, with what is saved by doing it now."""

    queryset = LaterItem.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses=LaterSerializer, operation_id="jobs_later")
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        desk, today = desk_for(number), timezone.localdate()
        built = build(desk.brought, today, book=desk.book)
        found = waiting(desk.job, built, today)
        return Response({"waiting": [_waiting(one, built.terms.currency) for one in found]})


def _waiting(offer: Offer, currency: str) -> Json:
    row = offer.row

    def money(amount: Decimal | None) -> str | None:
        return money_text(amount, currency)

    return {
        "id": row.pk,
        "component": row.component.code,
        "position": row.position.code,
        "quantity": row.quantity,
        "why": row.why,
        "reason": row.reason,
        "from_job": row.from_job.number,
        "noted_at": timezone.localtime(row.noted_at).isoformat(),
        "added": money(row.adds),
        "found_again": offer.found_again,
        "now": money(offer.now),
        "later": money(offer.later),
        "saving": money(offer.saving),
        "shared_access": list(offer.steps),
    }


class _Entry(JobChange):
    queryset = LaterItem.objects.all()

    def entry(self, desk: Desk, key: int) -> LaterItem:
        row = open_row(desk.job, key) if key < 10**18 else None
        if row is None:
            raise Http404(f"Nothing of the key {key} waits on the unit of job {desk.job.number}.")
        return row


class TakeInView(_Entry):
    """Takes an entry in: an advisory finding on this job, whose reason says where it comes from."""

    @changes_a_job(operation_id="later_take_in")
    def post(self, request: Request, number: str, key: int) -> Response:
        def work(desk: Desk, seen: int | None) -> None:
            row, by = self.entry(desk, key), signed_in(request)
            take_in(desk.job, row, desk.book.family, by=by, at=timezone.localtime(), version=seen)

        return self.change(request, number, work)


class GiveUpView(_Entry):
    """Gives an entry up: it no longer waits, and the record of it stays."""

    @changes_a_job(operation_id="later_give_up")
    def post(self, request: Request, number: str, key: int) -> Response:
        def work(desk: Desk, seen: int | None) -> None:
            row = self.entry(desk, key)
            give_up(desk.job, row, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, work)
