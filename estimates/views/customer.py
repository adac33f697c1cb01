"""The customer's page: one estimate through a private link, without signing in.

The secret in the address is the whole authority, so there is no session to abuse: no cookie is set or read,
and no token against forged forms is needed. The address is kept from caches, search engines and other hosts.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from rest_framework.throttling import SimpleRateThrottle

from estimates.decisions import check_open, decide, latest_on, offered
from estimates.documents.phrases import Money
from estimates.documents.receipt import receipt_pdf, receipt_told, sums_told
from estimates.documents.wording import DEMONSTRATION, presented
from estimates.links import link_of
from estimates.models import CustomerLink, IssuedFile
from estimates.rules.choosing import Offered
from estimates.views.asked import asked_groups
from shop.pdf import PdfUnavailable
from shop.rules.errors import Fault, Refused

Page = Callable[..., HttpResponse]
HEADERS = {
    "Cache-Control": "no-store, private",
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow",
}


class Visits(SimpleRateThrottle):
    """So many requests from one address; a secret of 256 bits needs no more against guessing."""

    scope = "private-link"
    rate = "120/min"

    def get_cache_key(self, request: Any, view: Any) -> str:
        return self.cache_format % {"scope": self.scope, "ident": self.get_ident(request)}


def private(page: Page) -> Page:
    """Finds the estimate of the secret in the address; says in words why there is none to decide on."""

    @wraps(page)
    def answered(request: HttpRequest, secret: str, *args: Any, **kwargs: Any) -> HttpResponse:
        response = _answer(request, secret, *args, **kwargs)
        for name, value in HEADERS.items():
            response[name] = value
        return response

    def _answer(request: HttpRequest, secret: str, *args: Any, **kwargs: Any) -> HttpResponse:
        throttle = Visits()
        if not throttle.allow_request(request, None):  # type: ignore[arg-type]
            said = "Too many requests from your address. Wait a minute, then open the link again."
            response = _closed(request, said, status=429)
            response["Retry-After"] = str(int(throttle.wait() or 60))
            return response
        link = link_of(secret)
        if link is None:
            said = "This link opens nothing, or no longer does. Ask the workshop that sent it for a new one."
            return _closed(request, said, status=404)
        try:
            check_open(link.estimate, timezone.now())
        except Refused as refusal:
            fault = refusal.faults[0]
            return _closed(
                request, f"{fault.what}, and can no longer be decided on: {fault.right}.", status=410
            )
        return page(request, secret, link, *args, **kwargs)

    return csrf_exempt(answered)


def _closed(request: HttpRequest, said: str, *, status: int) -> HttpResponse:
    return render(request, "estimates/customer-closed.html", {"said": said}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@private
def estimate(request: HttpRequest, secret: str, link: CustomerLink) -> HttpResponse:
    """The estimate to decide on; POST records the decision."""
    offer = offered(link.estimate)
    if request.method != "POST":
        return _page(request, secret, link, offer)
    accepted = request.POST.getlist("accept")
    name, note = request.POST.get("name", ""), request.POST.get("note", "")
    try:
        decide(
            link.estimate,
            accepted,
            name=name,
            note=note,
            way="link",
            at=timezone.now(),
            sha256=request.POST.get("sha256", ""),
        )
    except Refused as refusal:
        return _page(
            request, secret, link, offer, accepted=accepted, faults=refusal.faults, name=name, note=note
        )
    return HttpResponseRedirect(reverse("customer-estimate", args=[secret]) + "#decided")


@require_POST
@private
def total(request: HttpRequest, secret: str, link: CustomerLink) -> HttpResponse:
    """What the ticked items come to: the sums alone for a live part, else the whole page."""
    offer, accepted = offered(link.estimate), request.POST.getlist("accept")
    if getattr(request, "htmx", False):
        return render(request, "estimates/customer-sums.html", chosen(offer, accepted))
    return _page(
        request,
        secret,
        link,
        offer,
        accepted=accepted,
        name=request.POST.get("name", ""),
        note=request.POST.get("note", ""),
    )


@require_safe
@private
def estimate_pdf(request: HttpRequest, secret: str, link: CustomerLink) -> HttpResponse:
    file = IssuedFile.objects.filter(estimate=link.estimate_id, media_type="application/pdf").first()
    if file is None:
        return _closed(request, "There is no PDF of this estimate. Ask the workshop for one.", status=404)
    return _pdf(bytes(file.content), file.name)


@require_safe
@private
def receipt(request: HttpRequest, secret: str, link: CustomerLink) -> HttpResponse:
    decision = latest_on(link.estimate)
    if decision is None:
        return _closed(request, "Nothing is decided yet, so there is no receipt.", status=404)
    try:
        return _pdf(receipt_pdf(decision), f"{link.estimate.number}-{link.estimate.revision}-decision.pdf")
    except PdfUnavailable:
        said = (
            "The receipt cannot be made as a PDF just now. Your decision is on record; ask for it on paper."
        )
        return _closed(request, said, status=503)


def _pdf(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    return response


def chosen(offer: Offered, accepted: list[str]) -> dict[str, Any]:
    """What the ticked items come to in words, or why they cannot be had together."""
    try:
        return {"sums": sums_told(offer.choose(accepted), Money(offer.currency)), "cannot": ()}
    except Refused as refusal:
        return {"sums": None, "cannot": refusal.faults}


def _page(
    request: HttpRequest,
    secret: str,
    link: CustomerLink,
    offer: Offered,
    *,
    accepted: list[str] | None = None,
    faults: tuple[Fault, ...] = (),
    name: str = "",
    note: str = "",
) -> HttpResponse:
    decision = latest_on(link.estimate)
    told = None if decision is None else receipt_told(decision, offer)
    if accepted is None:
        decided = [] if told is None else [item["key"] for item in told["items"] if item["accepted"]]
        accepted = offer.keys("firm") if told is None else decided
    document = dict(offer.document)
    context = {
        "secret": secret,
        "estimate": link.estimate,
        "shown": presented(document),
        "groups": asked_groups(offer, accepted),
        "done": [item for item in document["groups"]["firm"] if item["done"]],
        "decision": told,
        "faults": faults,
        "name": name,
        "note": note,
        "demonstration": DEMONSTRATION if document["demonstration"] else "",
        "priced_apart": offer.sheet is not None,
        **chosen(offer, accepted),
    }
    return render(request, "estimates/customer.html", context, status=422 if faults else 200)
