"""What the OpenAPI generator is told of every view of ours, beyond what it finds itself."""

from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter

from shop.api.members import PARAMETER as FIELDS


class HouseSchema(AutoSchema):
    """Adds the parameter `fields` where rows are answered whose members can be chosen."""

    def get_override_parameters(self) -> list[Any]:
        parameters = list(super().get_override_parameters())
        if not getattr(self.view, "selects", False):
            return parameters
        view: Any = self.view
        names = list(view.get_serializer().fields)
        one = {"type": "string", "enum": names}
        return [
            *parameters,
            OpenApiParameter(
                FIELDS,
                {"type": "array", "items": one, "minItems": 1, "uniqueItems": True},
                style="form",
                explode=False,
                description="only these members of each row, in this order; without it all of them",
            ),
        ]
