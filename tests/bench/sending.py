"""Whole requests without a network: the WSGI application called in this process, signed in by a token."""

import io
import json
from typing import Any


class Client:
    """Sends to the API as a program of a colleague would."""

    def __init__(self) -> None:
        from django.conf import settings
        from django.contrib.auth.models import User
        from knox.models import AuthToken

        from shop.wsgi import application

        settings.ALLOWED_HOSTS = ["bench.example"]
        user, _ = User.objects.get_or_create(username="bench")
        AuthToken.objects.filter(user=user).delete()
        _, self.token = AuthToken.objects.create(user)
        self.application = application

    def post_bytes(self, path: str, body: bytes) -> bytes:
        return self._send("POST", path, body)

    def post(self, path: str, body: Any) -> bytes:
        return self._send("POST", path, json.dumps(body).encode())

    def get(self, path: str, query: str = "") -> bytes:
        return self._send("GET", path, b"", query)

    def _send(self, method: str, path: str, sent: bytes, query: str = "") -> bytes:
        environ = {
            "REQUEST_METHOD": method,
            "PATH_INFO": f"/api/v1/{path}",
            "QUERY_STRING": query,
            "SERVER_NAME": "bench.example",
            "SERVER_PORT": "80",
            "SERVER_PROTOCOL": "HTTP/1.1",
            "HTTP_AUTHORIZATION": f"Token {self.token}",
            "CONTENT_TYPE": "application/json",
            "CONTENT_LENGTH": str(len(sent)),
            "wsgi.url_scheme": "http",
            "wsgi.input": io.BytesIO(sent),
        }
        status: list[str] = []
        answer = self.application(environ, lambda told, headers, info=None: status.append(told))
        found = b"".join(answer)
        getattr(answer, "close", lambda: None)()
        if not status[0].startswith("200"):
            raise SystemExit(f"{path} answered {status[0]}: {found[:500]!r}")
        return found
