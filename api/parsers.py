"""Reading bodies."""

from collections.abc import Mapping
from typing import Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

from results.policy.language import tell


class ShallowJSONParser(JSONParser):
    """JSON that is not nested deeper than it can be read."""

    def parse(
        self,
        stream: Any,
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """Return the body's content.

        Raises
        ------
        ParseError
            The body is not JSON, or nested without end.
        """
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError as error:
            message = tell("The JSON is nested too deeply.")
            raise ParseError(message) from error
