"""Pages of the catalogue: the counter and the spec tables."""

from django.urls import path

from catalog.views.counter import counter
from catalog.views.specs import spec_tables

urlpatterns = [
    path("counter/", counter, name="counter"),
    path("spec-tables/", spec_tables, name="spec-tables"),
]
