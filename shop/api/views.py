"""What the views of the API share: reading by natural key, in pages, filtered, conditionally."""

from collections.abc import Mapping
from typing import Any

from django.http import Http404
from django.urls import Resolver404, resolve
from drf_spectacular.utils import extend_schema
from rest_framework import mixins
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView
from rest_framework.viewsets import GenericViewSet

from shop.api.conditional import ConditionalGet
from shop.api.filters import Filters, check_parameters
from shop.api.parsers import ExactJSONParser
from shop.api.permissions import ReadSignedInWriteByPermission
from shop.api.problems import KIND_PATH, KINDS


class Api(APIView):
    """The house rules of a view: who may call it, how its body is read, how its query is read."""

    permission_classes = (ReadSignedInWriteByPermission,)
    parser_classes = (ExactJSONParser,)
    own_parameters: tuple[str, ...] = ()


class ListView(ConditionalGet, Api, mixins.ListModelMixin, GenericViewSet):
    """A list. A subclass states `queryset` (with everything its serializer touches selected or prefetched),
    `serializer_class`, `filterset_class` and `page_key` (see shop.api.pagination)."""

    filter_backends = (Filters,)
    page_key: tuple[str, ...] = ("id",)


class ReadView(mixins.RetrieveModelMixin, ListView):
    """A list and its single rows, found by natural key: `lookup` maps names in the address to columns."""

    lookup: Mapping[str, str] = {"code": "code"}

    def get_object(self) -> Any:
        check_parameters(self.request, set(self.own_parameters))
        row = self.get_queryset().filter(**self.natural_key()).first()
        if row is None:
            name = self.get_queryset().model._meta.verbose_name
            raise Http404(f"There is no {name} {' '.join(map(repr, self.kwargs.values()))}.")
        self.check_object_permissions(self.request, row)
        return row

    def natural_key(self) -> dict[str, str]:
        if any("\x00" in value for value in self.kwargs.values()):
            raise Http404  # PostgreSQL takes no NUL in a text, so no row has it
        return {self.lookup[name]: value for name, value in self.kwargs.items()}


@extend_schema(exclude=True)
class UnknownPath(APIView):
    """Any other address below /api/: a problem like every other, signed in or not."""

    permission_classes = [AllowAny]
    authentication_classes: list[Any] = []

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        try:
            meant = resolve(request.path_info + "/").func
        except Resolver404:
            meant = None
        if meant and getattr(meant, "cls", None) is not UnknownPath:
            raise Http404(f"There is nothing at this address; addresses end with a slash: {request.path}/")
        raise Http404("There is nothing at this address; /api/v1/ lists what there is.")


@extend_schema(exclude=True)
class ProblemKind(APIView):
    """What a problem's `type` means, for whoever follows it."""

    permission_classes = [AllowAny]
    authentication_classes: list[Any] = []

    def get(self, request: Request, kind: str) -> Response:
        if kind not in KINDS:
            raise Http404("There is no problem of this kind.")
        title, explanation = KINDS[kind]
        return Response({"type": f"{KIND_PATH}{kind}/", "title": title, "explanation": explanation})
