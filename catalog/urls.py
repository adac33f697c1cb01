"""Pages of the catalogue: the counter and the spec tables."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
