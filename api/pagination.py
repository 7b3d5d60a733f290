"""Lists come in pages."""

from typing import Any

from rest_framework.pagination import PageNumberPagination


class Pages(PageNumberPagination):
    """Numbered pages."""

    page_size_query_param = "page_size"
    max_page_size = 200

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """Describe a page with addresses of this site."""
        address = {"type": "string", "nullable": True, "format": "uri"}
        example = "https://benchwide.example/api/v1/…?page="
        return {
            "type": "object",
            "required": ["count", "next", "previous", "results"],
            "properties": {
                "count": {"type": "integer", "example": 112},
                "next": {**address, "example": f"{example}3"},
                "previous": {**address, "example": f"{example}1"},
                "results": schema,
            },
        }
