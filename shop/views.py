"""The workshop's own pages: signing in and out, the way in, and the workshop's facts."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.contrib.auth.views import LoginView
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe
from django_htmx.http import HttpResponseClientRefresh

from shop.models import Fee, LineCategory, LineTax, MarkupBand, Meter, TaxRate, Workshop


class SignIn(LoginView):
    template_name = "registration/sign-in.html"
    redirect_authenticated_user = True

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        # A live part of a page asked after the session ended: load the whole page again, which leads here.
        if getattr(request, "htmx", False):
            return HttpResponseClientRefresh()
        return super().dispatch(request, *args, **kwargs)


@require_safe
@login_required
def home(request: HttpRequest) -> HttpResponse:
    """The first door."""
    return redirect("jobs")


@require_safe
@login_required
def shop(request: HttpRequest) -> HttpResponse:
    """Who the workshop is and how it prices, as the estimates will use it."""
    taxes = TaxRate.objects.prefetch_related(Prefetch("lines", LineTax.objects.order_by("category")))
    context = {
        "workshop": Workshop.objects.first(),
        "taxes": taxes,
        "untaxed": [
            label
            for value, label in LineCategory.choices
            if value not in set(LineTax.objects.values_list("category", flat=True))
        ],
        "bands": MarkupBand.objects.all(),
        "fees": Fee.objects.all(),
        "meters": Meter.objects.prefetch_related("ranges"),
    }
    return render(request, "shop/facts.html", context)
