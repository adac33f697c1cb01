"""Addresses under /api/: version 1, its document, and a problem for everything else."""

from django.urls import URLPattern, URLResolver, include, path, re_path

from shop.api.root import Root
from shop.api.schema import Docs, Document
from shop.api.views import ProblemKind, UnknownPath

app_name = "api"

v1: list[URLPattern | URLResolver] = [
    path("", Root.as_view(), name="root"),
    path("schema/", Document.as_view(), name="schema"),
    path("docs/", Docs.as_view(), name="docs"),
    path("problems/<str:kind>/", ProblemKind.as_view(), name="problem"),
    path("", include("catalog.api.urls")),
    path("", include("estimates.api.urls")),
]

urlpatterns = [
    path("v1/", include(v1)),
    re_path("", UnknownPath.as_view(), name="unknown"),
]
