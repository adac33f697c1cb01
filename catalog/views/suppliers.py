"""Suppliers: their terms, how their offers stand, the price files they sent, and the prices that wait."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.forms.price_file import PriceFileForm
from catalog.models import Part, PriceFile, Supplier
from catalog.offers.held import decide, move_of, waiting_for
from catalog.offers.history import price_histories
from catalog.offers.standing import standing_of, suppliers_listed
from catalog.offers.take import Who
from catalog.rules.partnumber import comparable
from shop.rules.errors import Refused

HELD_PER_PAGE = 50
LAST_FILES = 8
MOST_AT_ONCE = 1000


def may_take(user: Any) -> bool:
    """Whoever may change offers by hand may take price files in and decide on held prices."""
    return bool(user.is_staff or user.has_perm("catalog.change_offer"))


def keeper(request: HttpRequest) -> AbstractBaseUser:
    """The person, who may; a page that is refused otherwise."""
    if not may_take(request.user) or not isinstance(request.user, AbstractBaseUser):
        raise PermissionDenied
    return request.user


def who_asks(request: HttpRequest) -> Who:
    now = timezone.localtime()
    return Who(at=now, today=now.date(), by=keeper(request))


@require_safe
@login_required
def suppliers(request: HttpRequest) -> HttpResponse:
    return render(request, "catalog/suppliers.html", {"suppliers": suppliers_listed()})


@require_safe
@login_required
def supplier(request: HttpRequest, code: str) -> HttpResponse:
    return supplier_page(request, get_object_or_404(Supplier, code=code), PriceFileForm())


def supplier_page(
    request: HttpRequest, found: Supplier, form: PriceFileForm, refused: Refused | None = None
) -> HttpResponse:
    """The page of one supplier, also with what could not be taken from it."""
    page = Paginator(waiting_for(found), HELD_PER_PAGE).get_page(request.GET.get("page"))
    files = (
        PriceFile.objects.using("default").filter(supplier=found).select_related("by").order_by("-at", "-pk")
    )
    context: dict[str, Any] = {
        "supplier": found,
        "standing": standing_of(found, timezone.localdate()),
        "files": files[:LAST_FILES],
        "page": page,
        "held": [(held, move_of(held)) for held in page],
        "may_take": may_take(request.user),
        "form": form,
        "refused": refused,
    }
    return render(request, "catalog/supplier.html", context, status=422 if refused or form.errors else 200)


@require_POST
@login_required
def decide_held(request: HttpRequest, code: str) -> HttpResponse:
    """Accept or refuse the held prices that were ticked."""
    who = who_asks(request)
    found = get_object_or_404(Supplier, code=code)
    accept = request.POST.get("decision") == "accept"
    ids = [int(text) for text in request.POST.getlist("held") if text.isascii() and text.isdigit()]
    try:
        if not ids or request.POST.get("decision") not in ("accept", "refuse"):
            raise Refused.single("held prices", "none is ticked", "tick those you have looked at")
        if len(ids) > MOST_AT_ONCE:
            raise Refused.single("held prices", f"{len(ids)} are ticked", f"tick {MOST_AT_ONCE} at most")
        decided = decide(found, ids, who, accept=accept)
    except Refused as refused:
        return supplier_page(request, found, PriceFileForm(), refused)
    count = f"{len(decided)} held price{'s' * (len(decided) != 1)}"
    messages.info(request, f"{count} accepted and written." if accept else f"{count} refused.")
    return redirect("supplier", code)


@require_safe
@login_required
def price_history(request: HttpRequest, brand: str, number: str) -> HttpResponse:
    """What every supplier has asked for the part over time."""
    part = get_object_or_404(
        Part.objects.select_related("brand", "part_type"), brand__code=brand, normalised=comparable(number)
    )
    context = {"part": part, "histories": price_histories(part), "today": timezone.localdate()}
    return render(request, "catalog/price-history.html", context)
