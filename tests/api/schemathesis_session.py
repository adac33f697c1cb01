"""Every operation of the OpenAPI document, tried by Schemathesis against the application, over HTTP.

    TALLYBORE_DATA=FOLDER uv run -m tests.api.schemathesis_session --token TOKEN [--examples 200]

It writes into the database it is given, so give it a copy. Everything Schemathesis checks is checked, but for
positive_data_acceptance, whose place tests.api.understood takes. Prints what failed, once for each operation
and kind of failure, with a way to repeat it; ends with the number of requests as JSON.
"""

import json
import os
import sys
from argparse import ArgumentParser, Namespace
from collections import Counter
from threading import Thread
from typing import Any

from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler


def arguments() -> Namespace:
    parser = ArgumentParser()
    parser.add_argument("--token", required=True)
    parser.add_argument("--examples", type=int, default=100)
    parser.add_argument("--phases", default="examples,coverage,fuzzing,stateful")
    parser.add_argument("--only", default="", help="a regular expression of addresses")
    parser.add_argument("--cover", default="", help="the phase coverage only for addresses like this")
    parser.add_argument("--random", action="store_true", help="other requests each time")
    return parser.parse_args()


def config(asked: Namespace) -> Any:
    from schemathesis.config import SchemathesisConfig

    phases = asked.phases.split(",")
    return SchemathesisConfig.from_dict(
        {
            "headers": {"Authorization": f"Token {asked.token}"},
            "continue-on-failure": True,
            "generation": {"max-examples": asked.examples, "deterministic": not asked.random},
            "phases": {
                name: {"enabled": name in phases} for name in ("examples", "coverage", "fuzzing", "stateful")
            },
            "checks": {"positive_data_acceptance": {"enabled": False}},
            "cache": {"enabled": False},
            "operations": [
                {"exclude-path-regex": asked.cover, "phases": {"coverage": {"enabled": False}}},
            ]
            if asked.cover
            else [],
        }
    )


class Quiet(WSGIRequestHandler):
    def log_message(self, *args: Any) -> None:
        """Nothing: there are thousands of them."""


def serve(app: Any) -> str:
    """Serves the application from a thread, on a port of the machine's choice. Returns its address."""
    server = ThreadedWSGIServer(("127.0.0.1", 0), Quiet)
    server.set_app(app)
    Thread(target=server.serve_forever, daemon=True).start()
    return f"http://127.0.0.1:{server.server_port}"


def main() -> None:
    asked = arguments()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    os.environ.setdefault("TALLYBORE_HOSTS", "127.0.0.1")
    from django.core.wsgi import get_wsgi_application

    app = get_wsgi_application()
    import schemathesis
    from schemathesis.engine import events, from_schema

    import tests.api.understood  # noqa: F401

    schema = schemathesis.openapi.from_url(f"{serve(app)}/api/v1/schema/", config=config(asked))
    if asked.only:
        schema = schema.include(path_regex=asked.only)
    requests: Counter[str] = Counter()
    failures: dict[tuple[str, str, str], str] = {}
    for event in from_schema(schema).execute():
        if isinstance(event, events.ScenarioFinished):
            requests[event.recorder.label] += len(event.recorder.interactions)
            for case, checks in event.recorder.checks.items():
                for check in checks:
                    if check.failure_info is not None:
                        failure, answer = (
                            check.failure_info.failure,
                            event.recorder.interactions[case].response,
                        )
                        told = (answer.content[:400] if answer and answer.content else b"").decode(
                            "utf-8", "replace"
                        )
                        failures.setdefault(
                            (event.recorder.label, check.name, failure.title),
                            f"{failure.message}\n{check.failure_info.code_sample}\n"
                            f"{answer.status_code if answer else None} {told}",
                        )
        elif isinstance(event, events.NonFatalError):
            failures[event.label, "error", type(event.value).__name__] = str(event.value)
        elif isinstance(event, events.FatalError):
            failures["", "fatal", type(event.exception).__name__] = str(event.exception)
    for key, told in failures.items():
        print("====", *key, told, sep="\n")
    print(json.dumps({"requests": requests, "failures": len(failures)}))
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
