"""JSON bodies, read strictly: numbers stay as they were written, and a body has a size limit."""

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import IO, Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from rest_framework.exceptions import ParseError
from rest_framework.parsers import BaseParser


class ExactJSONParser(BaseParser):
    """RFC 8259 JSON in UTF-8. Fractions become Decimals, never floats; a member given twice is an error."""

    media_type = "application/json"

    def parse(self, stream: IO[bytes], media_type: Any = None, parser_context: Any = None) -> Any:
        limit = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        body = stream.read(limit + 1) if limit else stream.read()
        if limit and len(body) > limit:
            raise RequestDataTooBig
        try:
            read = json.loads(
                body.decode("utf-8"),
                parse_float=Decimal,
                parse_constant=_no_constant,
                object_pairs_hook=_members,
            )
            if b"\\u" in body:
                # Half a character, like "\ud800", could neither be stored nor be repeated in an answer.
                json.dumps(read, ensure_ascii=False, default=str).encode("utf-8")
            return read
        except UnicodeDecodeError as error:
            raise ParseError("it is not UTF-8") from error
        except UnicodeEncodeError as error:
            raise ParseError("it has half of a character in it") from error
        except ArithmeticError as error:
            raise ParseError("it has a number in it that is beyond measure") from error
        except RecursionError as error:
            raise ParseError("it is nested too deeply") from error
        except ValueError as error:
            raise ParseError(f"it is not JSON: {error}") from error


def _no_constant(text: str) -> Any:
    raise ValueError(f"{text} is not a number in JSON")


def _members(pairs: list[tuple[str, Any]]) -> Mapping[str, Any]:
    members = dict(pairs)
    if len(members) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in members if names.count(name) > 1)
        raise ValueError(f"the member '{twice}' is given twice")
    return members
