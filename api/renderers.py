"""Files that the API hands over as they are."""

import json
from collections.abc import Mapping
from typing import Any

from rest_framework.renderers import BaseRenderer


class FileRenderer(BaseRenderer):
    """Hands a file over as it is; problems stay the documents that they are."""

    charset = None

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,  # noqa: ARG002
        renderer_context: Mapping[str, Any] | None = None,  # noqa: ARG002
    ) -> Any:
        """Return the bytes of the answer."""
        return data if isinstance(data, bytes) else json.dumps(data).encode()


class CsvRenderer(FileRenderer):
    """RFC 4180."""

    media_type = "text/csv"
    format = "csv"


class XlsxRenderer(FileRenderer):
    """Office Open XML (ISO/IEC 29500)."""

    media_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    format = "xlsx"


class ZipRenderer(FileRenderer):
    """An archive of CSV files."""

    media_type = "application/zip"
    format = "zip"
