"""Pages of the catalogue: the counter and the spec tables."""

from django.urls import path

from catalog.views.calculators import calculator, calculators
from catalog.views.comparison import part_comparison
from catalog.views.counter import counter
from catalog.views.spec_sheets import spec_sheet, spec_sheet_csv, spec_sheet_json, spec_sheet_pdf
from catalog.views.specs import spec_choices, spec_tables

urlpatterns = [
    path("counter/", counter, name="counter"),
    path("spec-tables/", spec_tables, name="spec-tables"),
    path("spec-tables/choices/<str:kind>/", spec_choices, name="spec-choices"),
    path("spec-tables/compare/", part_comparison, name="part-comparison"),
    path("spec-tables/sheets/<str:code>/", spec_sheet, name="spec-sheet"),
    path("spec-tables/sheets/<str:code>/pdf/", spec_sheet_pdf, name="spec-sheet-pdf"),
    path("spec-tables/sheets/<str:code>/csv/", spec_sheet_csv, name="spec-sheet-csv"),
    path("spec-tables/sheets/<str:code>/json/", spec_sheet_json, name="spec-sheet-json"),
    path("spec-tables/calculators/", calculators, name="calculators"),
    path("spec-tables/calculators/<str:code>/", calculator, name="calculator"),
]
