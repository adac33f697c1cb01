"""Deciding on an issued estimate: what a choice comes to, decisions on record, receipt, private links."""

from typing import Any

from django.http import Http404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from estimates.api.changes import problem_response
from estimates.api.decision_shape import (
    ChoiceFileSerializer,
    ChoiceSerializer,
    DecisionFileSerializer,
    DecisionSerializer,
    DecisionsSerializer,
    LinksSerializer,
    NewLinkSerializer,
)
from estimates.api.drafts import wants_pdf
from estimates.api.jobs import IDEMPOTENCY_KEY
from estimates.api.renderers import PDF, PdfRenderer, PlainJSONRenderer, Unavailable, pdf_file
from estimates.decisions import decide, latest_on, offered
from estimates.documents.pdf import PdfUnavailable
from estimates.documents.receipt import receipt_content, receipt_pdf
from estimates.links import make_link, revoke_link
from estimates.models import CustomerLink, Decision, IssuedEstimate
from estimates.queries import the_workshop
from shop.api.filters import check_parameters
from shop.api.idempotency import answered_once
from shop.api.permissions import signed_in
from shop.api.views import Api
from shop.rules.entry import Faults, keys_entry, text_entry

Json = dict[str, Any]
MOST_ITEMS = 1000


def issued_or_404(number: str, revision: int) -> IssuedEstimate:
    rows = IssuedEstimate.objects.select_related("job", "replaced_by")
    row = None if "\x00" in number else rows.filter(number=number, revision=revision).first()
    if row is None:
        raise Http404(f"There is no estimate {number!r} with a revision {revision}.")
    return row


def accepted_entry(raw: Any, faults: Faults) -> list[str]:
    """The keys of a body; faults where they are none."""
    keys = raw.get("accepted") if isinstance(raw, dict) else None
    if not isinstance(keys, list) or not all(isinstance(key, str) for key in keys):
        faults.add("accepted", "is no list of keys", 'give the keys of items, like ["belt-replace@engine"]')
        return []
    if len(keys) > MOST_ITEMS:
        faults.add("accepted", f"has {len(keys)} keys", f"give at most {MOST_ITEMS}")
        return []
    return keys


class ChoiceView(Api):
    """What a choice of items of an issued estimate comes to, worked out from the document alone. Nothing is
    recorded."""

    only_answers = True
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(
        request=ChoiceFileSerializer, responses={200: ChoiceSerializer}, operation_id="estimates_choose"
    )
    def post(self, request: Request, number: str, revision: int) -> Response:
        check_parameters(request, set())
        estimate = issued_or_404(number, revision)
        faults = Faults()
        keys_entry(request.data, "the body", ("accepted",), (), faults)
        keys = accepted_entry(request.data, faults)
        faults.refuse()
        choice = offered(estimate).choose(keys)
        taxes = choice.totals.tax if choice.totals is not None else ()
        return Response(
            {
                "currency": estimate.currency,
                "accepted": list(choice.accepted),
                "sure": str(choice.sure),
                "agreed": str(choice.agreed),
                "agreed_without_tax": str(choice.agreed_without_tax),
                "ceiling": str(choice.ceiling),
                "tax": [
                    {
                        "name": tax.rate.name,
                        "percent": f"{tax.rate.percent.normalize():f}",
                        "taxable": str(tax.taxable),
                        "amount": str(tax.amount),
                    }
                    for tax in taxes
                ],
            }
        )


class DecisionsView(Api):
    """Decisions on an issued estimate: bound to its document, only ever added. The latest counts."""

    queryset = Decision.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses=DecisionsSerializer, operation_id="decisions_list")
    def get(self, request: Request, number: str, revision: int) -> Response:
        check_parameters(request, set())
        estimate = issued_or_404(number, revision)
        rows = Decision.objects.filter(estimate=estimate).select_related("estimate", "recorded_by")
        offer = offered(estimate)
        return Response({"decisions": [receipt_content(row, offer) for row in rows]})

    @extend_schema(
        request=DecisionFileSerializer,
        responses={201: DecisionSerializer},
        parameters=[IDEMPOTENCY_KEY],
        operation_id="decisions_record",
    )
    def post(self, request: Request, number: str, revision: int) -> Response:
        """Records what was decided at the desk. Refused once the estimate is replaced or expired."""
        check_parameters(request, set())
        return answered_once(request, lambda: recorded(request, issued_or_404(number, revision)))


def recorded(request: Request, estimate: IssuedEstimate) -> Response:
    faults = Faults()
    raw: Any = request.data
    keys: list[str] = []
    texts = {"name": "", "note": "", "sha256": ""}
    if keys_entry(raw, "the body", ("accepted", "name", "sha256"), ("note",), faults):
        keys = accepted_entry(raw, faults)
        texts = {
            name: text_entry(raw.get(name), name, faults, longest=longest)
            for name, longest in (("name", 120), ("note", 500), ("sha256", 64))
        }
    faults.refuse()
    row = decide(estimate, keys, **texts, way="desk", at=timezone.localtime(), by=signed_in(request))
    return Response(receipt_content(row), status=201)


class ReceiptView(Api):
    """The receipt of the decision that counts, as JSON or as a PDF."""

    queryset = Decision.objects.all()
    renderer_classes = (PlainJSONRenderer, PdfRenderer)

    @extend_schema(
        responses={
            (200, "application/json"): DecisionSerializer,
            (200, PDF): OpenApiTypes.BINARY,
            **problem_response(503, "This machine cannot make a PDF."),
        },
        operation_id="decisions_receipt",
    )
    def get(self, request: Request, number: str, revision: int) -> Response:
        check_parameters(request, set())
        row = latest_on(issued_or_404(number, revision))
        if row is None:
            raise Http404(f"Nothing is decided on {number} revision {revision}.")
        if not wants_pdf(request):
            return Response(receipt_content(row))
        try:
            return pdf_file(receipt_pdf(row, paper=the_workshop().paper), f"{number}-{revision}-decision.pdf")
        except PdfUnavailable as missing:
            raise Unavailable(str(missing)) from missing


class LinksView(Api):
    """Private links of an estimate, for the customer to decide without signing in."""

    queryset = CustomerLink.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses=LinksSerializer, operation_id="links_list")
    def get(self, request: Request, number: str, revision: int) -> Response:
        check_parameters(request, set())
        rows = CustomerLink.objects.filter(estimate=issued_or_404(number, revision)).select_related("made_by")
        return Response({"links": [link_content(row) for row in rows]})

    @extend_schema(request=None, responses={201: NewLinkSerializer}, operation_id="links_make")
    def post(self, request: Request, number: str, revision: int) -> Response:
        """A new link. Its address is told this once: only the SHA-256 of its secret is kept, so there is no
        repeating it by an Idempotency-Key."""
        check_parameters(request, set())
        estimate = issued_or_404(number, revision)
        link, secret = make_link(estimate, by=signed_in(request), at=timezone.localtime())
        address = reverse("customer-estimate", [secret], request=request)
        answer = {**link_content(link), "address": address}
        return Response(answer, status=201, headers={"Cache-Control": "no-store, private"})


class LinkView(Api):
    queryset = CustomerLink.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses={204: None}, operation_id="links_revoke")
    def delete(self, request: Request, number: str, revision: int, link: int) -> Response:
        """The link stops working at once."""
        check_parameters(request, set())
        estimate = issued_or_404(number, revision)
        rows = CustomerLink.objects.select_related("estimate").filter(estimate=estimate)
        row = rows.filter(pk=link).first() if link < 10**18 else None
        if row is None:
            raise Http404(f"{number} revision {revision} has no link {link}.")
        revoke_link(row, by=signed_in(request), at=timezone.localtime())
        return Response(status=204)


def link_content(row: CustomerLink) -> Json:
    return {
        "id": row.pk,
        "made_at": timezone.localtime(row.made_at).isoformat(),
        "made_by": None if row.made_by is None else row.made_by.get_username(),
        "revoked_at": None if row.revoked_at is None else timezone.localtime(row.revoked_at).isoformat(),
    }
