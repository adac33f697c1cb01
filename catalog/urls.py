"""Pages of the catalogue: the counter and the spec tables."""

from django.urls import path

from catalog.views import shelf_list
from catalog.views.calculators import calculator, calculators
from catalog.views.comparison import part_comparison
from catalog.views.counter import counter
from catalog.views.counter_search import suggestions
from catalog.views.price_files import give_price_file, price_upload
from catalog.views.spec_sheets import spec_sheet, spec_sheet_csv, spec_sheet_json, spec_sheet_pdf
from catalog.views.specs import spec_choices, spec_tables
from catalog.views.suppliers import decide_held, price_history, supplier, suppliers

urlpatterns = [
    path("counter/", counter, name="counter"),
    path("counter/suggestions/", suggestions, name="suggestions"),
    path("counter/list/", shelf_list.the_list, name="shelf-list"),
    path("counter/list/add/", shelf_list.add, name="shelf-list-add"),
    path("counter/list/change/", shelf_list.change, name="shelf-list-change"),
    path("spec-tables/", spec_tables, name="spec-tables"),
    path("spec-tables/choices/<str:kind>/", spec_choices, name="spec-choices"),
    path("spec-tables/compare/", part_comparison, name="part-comparison"),
    path("spec-tables/sheets/<str:code>/", spec_sheet, name="spec-sheet"),
    path("spec-tables/sheets/<str:code>/pdf/", spec_sheet_pdf, name="spec-sheet-pdf"),
    path("spec-tables/sheets/<str:code>/csv/", spec_sheet_csv, name="spec-sheet-csv"),
    path("spec-tables/sheets/<str:code>/json/", spec_sheet_json, name="spec-sheet-json"),
    path("spec-tables/calculators/", calculators, name="calculators"),
    path("spec-tables/calculators/<str:code>/", calculator, name="calculator"),
    path("shop/suppliers/", suppliers, name="suppliers"),
    path("shop/suppliers/<str:code>/", supplier, name="supplier"),
    path("shop/suppliers/<str:code>/held/", decide_held, name="decide-held"),
    path("shop/suppliers/<str:code>/price-files/", give_price_file, name="give-price-file"),
    path("shop/suppliers/<str:code>/price-files/<int:pk>/", price_upload, name="price-upload"),
    path("counter/price-history/<str:brand>/<path:number>/", price_history, name="price-history"),
]
