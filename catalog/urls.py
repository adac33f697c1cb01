"""Pages of the catalogue: the counter and the spec tables."""

from django.urls import path

from catalog.views.calculators import calculator, calculators
from catalog.views.counter import counter
from catalog.views.specs import spec_tables

urlpatterns = [
    path("counter/", counter, name="counter"),
    path("spec-tables/", spec_tables, name="spec-tables"),
    path("spec-tables/calculators/", calculators, name="calculators"),
    path("spec-tables/calculators/<str:code>/", calculator, name="calculator"),
]
