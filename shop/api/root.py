"""/api/v1/: where everything is."""

from django.urls import get_resolver
from django.urls.resolvers import URLPattern, URLResolver
from drf_spectacular.utils import extend_schema
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from shop.api.conditional import ConditionalGet

PREFIX = "api/v1/"


@extend_schema(exclude=True)
class Root(ConditionalGet, APIView):
    """The addresses of version 1, read from the address table itself."""

    permission_classes = [AllowAny]

    def get(self, request: Request) -> Response:
        paths = [path for path in _paths(get_resolver().url_patterns) if path.startswith(PREFIX)]
        plain = [path for path in paths if "<" not in path and path != PREFIX]
        return Response(
            {path[len(PREFIX) :].strip("/"): request.build_absolute_uri(f"/{path}") for path in plain}
        )


def _paths(patterns: list[URLPattern | URLResolver], before: str = "") -> list[str]:
    found = []
    for pattern in patterns:
        path = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            found += _paths(pattern.url_patterns, path)
        else:
            found.append(path)
    return found
