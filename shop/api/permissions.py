"""Who may do what through the API: the two scopes of a token are the two scopes of its user.

read    every signed-in person, so every token: all GET requests, and POST requests that only answer
        a question
write   a person of the staff, or one whose Django permissions (their own or their groups') name the model:
        add for POST, change for PUT and PATCH, delete for DELETE

A token for a program that must not write is a token of a user without permissions.
"""

from typing import Any

from django.contrib.auth.models import User
from rest_framework.permissions import DjangoModelPermissions
from rest_framework.request import Request

from shop.api.problems import SAFE


class ReadSignedInWriteByPermission(DjangoModelPermissions):
    """A view whose POST only answers a question says so with `only_answers = True`."""

    message = "Your account may read, but not write this."

    def has_permission(self, request: Request, view: Any) -> bool:
        user = request.user
        if not user or not user.is_authenticated:
            return False
        if request.method in SAFE or getattr(view, "only_answers", False):
            return True
        return user.is_staff or super().has_permission(request, view)


def signed_in(request: Request) -> User:
    """Who sent it; for views that only signed-in people reach."""
    assert isinstance(request.user, User)
    return request.user
