"""Who sends a token: looked up in one statement, since every request of a program asks it first.

Only a token that is valid is answered here. Everything else, a wrong one, one that ended, a closed account,
goes the library's own way, which clears away what has ended and says what is wrong.
"""

import binascii
from hmac import compare_digest
from typing import Any

from django.contrib.auth.models import User
from django.db import DEFAULT_DB_ALIAS, connections
from django.utils import timezone
from drf_spectacular.contrib.knox_auth_token import KnoxTokenScheme
from knox.auth import TokenAuthentication
from knox.crypto import hash_token
from knox.models import AuthToken
from knox.settings import CONSTANTS
from rest_framework.exceptions import AuthenticationFailed

from shop.statement import Statement

PERSON = ("id", "username", "first_name", "last_name", "email", "is_staff", "is_active", "is_superuser")
TRUTHS = {"is_staff", "is_active", "is_superuser"}
HELD = Statement(
    "SELECT t.digest, "
    + ", ".join(f"{'{plain}' if name in TRUTHS else ''}u.{name}" for name in PERSON)
    + " FROM knox_authtoken t JOIN auth_user u ON u.id = t.user_id "
    "WHERE t.token_key = %s AND u.is_active AND (t.expiry IS NULL OR t.expiry > %s)",
    truths=[1 + PERSON.index(name) for name in TRUTHS],
)


class Tokens(TokenAuthentication):
    def authenticate_credentials(self, token: bytes) -> tuple[Any, Any]:
        try:
            text = token.decode()
            digest = hash_token(text)
        except (UnicodeDecodeError, TypeError, binascii.Error) as error:
            raise AuthenticationFailed("Invalid token.") from error
        key = text[: CONSTANTS.TOKEN_KEY_LENGTH]
        now = connections[DEFAULT_DB_ALIAS].ops.adapt_datetimefield_value(timezone.now())
        for row in HELD.raw(key, now, using=DEFAULT_DB_ALIAS):
            if compare_digest(digest, row[0]):
                user = User.from_db(DEFAULT_DB_ALIAS, PERSON, HELD.exact(row)[1:])
                return user, AuthToken.from_db(
                    DEFAULT_DB_ALIAS, ("digest", "token_key", "user_id"), (row[0], key, user.pk)
                )
        user, found = super().authenticate_credentials(token)
        return user, found


class Scheme(KnoxTokenScheme):
    """The same in the OpenAPI document."""

    target_class = "shop.api.tokens.Tokens"
