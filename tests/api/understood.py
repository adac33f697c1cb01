"""A check for Schemathesis: what is in the documented form is answered, or refused for what the data holds.

The built-in check positive_data_acceptance expects every well-formed request to succeed. An OpenAPI document
cannot say which codes this workshop's data knows, nor which parameters go together, so such a request may
also be refused; but then with a problem of the type "refused", never as one that was not understood. Nor can
it say which tag is the current one: a well-formed If-Match of another state is 412.
"""

import json

import schemathesis
from schemathesis.specs.openapi.checks import positive_data_acceptance


@schemathesis.check
def well_formed_is_understood(
    ctx: schemathesis.CheckContext, response: schemathesis.Response, case: schemathesis.Case
) -> bool | None:
    if response.status_code == 412 and "If-Match" in (case.headers or {}):
        return None
    if response.status_code in (400, 422) and _type_of(response) == "/api/v1/problems/refused/":
        return None
    return positive_data_acceptance(ctx, response, case)


def _type_of(response: schemathesis.Response) -> object:
    try:
        return json.loads(response.content)["type"]
    except (ValueError, KeyError, TypeError):
        return None
