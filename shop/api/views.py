"""What the views of the API share: reading by natural key, in pages, filtered, conditionally."""

from collections.abc import Mapping, Sequence
from typing import Any, cast

from django.db.models import QuerySet
from django.http import Http404, HttpResponseNotModified
from django.urls import Resolver404, resolve
from drf_spectacular.utils import extend_schema
from rest_framework import mixins
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView
from rest_framework.viewsets import GenericViewSet

from shop.api.conditional import ConditionalGet, conditionally, matches_weakly
from shop.api.documented import HouseSchema
from shop.api.filters import Filters, check_parameters
from shop.api.members import PARAMETER as FIELDS
from shop.api.members import asked_members, narrow, narrow_rows
from shop.api.pagination import KeyPagination
from shop.api.parsers import ExactJSONParser
from shop.api.permissions import ReadSignedInWriteByPermission
from shop.api.problems import KIND_PATH, KINDS
from shop.api.row_tags import tag_of
from shop.api.tables import CsvRenderer


class Api(APIView):
    """The house rules of a view: who may call it, how its body and its query are read, which form it answers
    in, that a GET can be asked again conditionally."""

    permission_classes = (ReadSignedInWriteByPermission,)
    parser_classes = (ExactJSONParser,)
    schema = HouseSchema()
    own_parameters: tuple[str, ...] = ()

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        return conditionally(request, super().finalize_response(request, response, *args, **kwargs))

    def options(self, request: Any, *args: Any, **kwargs: Any) -> Response:
        """Which methods are taken here: the header Allow (RFC 9110, 9.3.7) says it, and there is no body."""
        return Response(status=204)


class ListView(Api, mixins.ListModelMixin, GenericViewSet):
    """A list. A subclass states `queryset` (with everything its serializer touches selected or prefetched),
    `serializer_class`, `filterset_class` and `page_key` (see shop.api.pagination).

    It may state `orders`, the names it can be sorted by and their columns, with `order_within` if it is long
    (see shop.api.ordering), and in `reads` which relations a member computed by a method needs (see
    shop.api.members). Every list comes as JSON or as CSV, and with the members that `fields` names.
    """

    filter_backends: tuple[Any, ...] = (Filters,)
    page_key: tuple[str, ...] = ("id",)
    orders: Mapping[str, str] = {}
    order_within: tuple[str, ...] = ()
    reads: Mapping[str, Sequence[str]] = {}
    rows_decide = True  # False where an answer also depends on the clock: see shop.api.row_tags

    def list(self, request: Request, *args: Any, **kwargs: Any) -> Any:
        page: Any = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        headers: dict[str, str] = {}
        if self.rows_decide:
            form, paging = request.accepted_media_type, cast(KeyPagination, self.paginator)
            tag = headers["ETag"] = tag_of(page, request.build_absolute_uri(), form, paging.following)
            if matches_weakly(request.headers.get("If-None-Match", ""), tag):
                return HttpResponseNotModified(headers=headers)
        response = self.get_paginated_response(self.get_serializer(page, many=True).data)
        for name, value in headers.items():
            response[name] = value
        return response

    def get_renderers(self) -> Any:
        # Rows fit into a table; what else the view answers may not.
        return [*super().get_renderers(), *([CsvRenderer()] if self.action == "list" else [])]

    def get_serializer(self, *args: Any, **kwargs: Any) -> Any:
        serializer = super().get_serializer(*args, **kwargs)
        if self.selects and not getattr(self, "swagger_fake_view", False):
            row: Any = getattr(serializer, "child", serializer)
            members = asked_members(self.request, [*row.fields])
            if members is not None:
                narrow(serializer, members)
        return serializer

    @property
    def selects(self) -> bool:
        """Whether what is answered are rows whose members can be chosen."""
        return self.action in ("list", "retrieve")

    def filter_queryset(self, queryset: QuerySet) -> QuerySet:
        return self.needed(super().filter_queryset(queryset))

    def needed(self, rows: QuerySet) -> QuerySet:
        """The rows with no more than what `fields` asks for."""
        if FIELDS not in self.request.query_params:
            return rows
        return narrow_rows(rows, self.get_serializer(), self.reads)


class ReadView(mixins.RetrieveModelMixin, ListView):
    """A list and its single rows, found by natural key: `lookup` maps names in the address to columns."""

    lookup: Mapping[str, str] = {"code": "code"}

    def get_object(self) -> Any:
        check_parameters(self.request, {FIELDS, *self.own_parameters})
        row = self.needed(self.get_queryset()).filter(**self.natural_key()).first()
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
class ProblemKind(ConditionalGet, APIView):
    """What a problem's `type` means, for whoever follows it."""

    permission_classes = [AllowAny]
    authentication_classes: list[Any] = []

    def get(self, request: Request, kind: str) -> Response:
        if kind not in KINDS:
            raise Http404("There is no problem of this kind.")
        title, explanation = KINDS[kind]
        return Response({"type": f"{KIND_PATH}{kind}/", "title": title, "explanation": explanation})
