"""Reading bodies."""

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

from api.errors import BodyTooLarge


class BoundedJSONParser(JSONParser):
    """JSON up to the size that the site accepts.

    Django bounds bodies only where it reads them itself.
    """

    def parse(
        self,
        stream: Any,
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """Return the body's content.

        Raises
        ------
        BodyTooLarge
            The announced length is above the site's bound.
        ParseError
            The body is not JSON.
        """
        request = (parser_context or {})["request"]
        length = int(request.META.get("CONTENT_LENGTH") or 0)
        if length > (settings.DATA_UPLOAD_MAX_MEMORY_SIZE or length):
            raise BodyTooLarge
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError as error:
            message = "The JSON is nested too deeply."
            raise ParseError(message) from error
