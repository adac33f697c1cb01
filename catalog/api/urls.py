"""Addresses of the catalogue's API, below /api/v1/. A code in the address is a natural key."""

from django.urls import URLPattern, path

from catalog.api import applications, engines, parts, service, specs, stock, supply, test_points, work
from catalog.api.calculators import Calculators, view_of
from catalog.api.comparison import PartComparisonView
from catalog.api.fitment import FitmentChecks
from catalog.api.fitting import FittingPartsView
from catalog.api.search import SearchView
from catalog.api.spec_sheets import SpecSheetView
from catalog.rules.calculators.shelf import CALCULATORS
from shop.api.views import ListView, ReadView


def a_list(name: str, view: type[ListView]) -> list[URLPattern]:
    return [path(f"{name}/", view.as_view({"get": "list"}), name=name)]


def a_list_and_rows(name: str, view: type[ReadView], key: str = "<str:code>") -> list[URLPattern]:
    return [
        *a_list(name, view),
        path(f"{name}/{key}/", view.as_view({"get": "retrieve"}), name=f"{name}-one"),
    ]


IN_FAMILY = "<str:family>/<str:code>"

urlpatterns = [
    # Asked all day, so looked for first.
    path("fitting-parts/", FittingPartsView.as_view(), name="fitting-parts"),
    path("fitment-checks/", FitmentChecks.as_view(), name="fitment-checks"),
    *a_list_and_rows("makers", engines.MakerView),
    *a_list_and_rows("engine-families", engines.EngineFamilyView),
    *a_list_and_rows("part-types", parts.PartTypeView),
    *a_list_and_rows("brands", parts.BrandView),
    # A number may have slashes in it, so nothing can come after it.
    *a_list_and_rows("parts", parts.PartView, "<str:brand>/<path:number>"),
    *a_list("applications", applications.ApplicationView),
    *a_list("replacements", applications.ReplacementView),
    path("search/", SearchView.as_view(), name="search"),
    *a_list_and_rows("properties", specs.PropertyView),
    *a_list_and_rows("sources", specs.SourceView),
    *a_list("specs", specs.SpecView),
    path("spec-sheets/<str:code>/", SpecSheetView.as_view(), name="spec-sheet"),
    path("part-comparison/", PartComparisonView.as_view(), name="part-comparison"),
    *a_list_and_rows("suppliers", supply.SupplierView),
    *a_list("offers", supply.OfferView),
    *a_list("stock", stock.StockView),
    *a_list_and_rows("components", service.ComponentView, IN_FAMILY),
    *a_list_and_rows("test-points", test_points.TestPointView, IN_FAMILY),
    *a_list_and_rows("access-steps", work.AccessStepView, IN_FAMILY),
    *a_list_and_rows("operations", work.OperationView, IN_FAMILY),
    path("calculators/", Calculators.as_view(), name="calculators"),
    *(
        path(f"calculators/{one.code}/", view_of(one).as_view(), name=f"calculator-{one.code}")
        for one in CALCULATORS.values()
    ),
]
