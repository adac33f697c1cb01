"""Problems that arise before a view of the API is reached, or around it: a wrong host, a failing middleware.

Named as error handlers in shop.urls; for other addresses they answer with Django's own pages.
"""

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views import defaults

from shop.api.problems import MEDIA_TYPE, body_of

BELOW = "/api/"


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    if not request.path.startswith(BELOW):
        return defaults.bad_request(request, exception)
    return _problem(400, "The request is not one that is answered here.", request)


def server_error(request: HttpRequest, *args: Any) -> HttpResponse:
    if not request.path.startswith(BELOW):
        return defaults.server_error(request)
    return _problem(500, "Something went wrong on our side; it has been noted.", request)


def _problem(status: int, detail: str, request: HttpRequest) -> JsonResponse:
    body = body_of(status, detail, instance=request.path)
    return JsonResponse(body, status=status, content_type=MEDIA_TYPE, headers={"Cache-Control": "no-store"})
