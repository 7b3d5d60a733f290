"""What addresses for staff share."""

from typing import Any

from rest_framework.generics import GenericAPIView
from rest_framework.response import Response
from rest_framework.views import APIView

from api.permissions import ForStaff, user_id_of
from results.policy.access import Rights
from results.summaries.rights import rights_of


class StaffView(APIView):
    """An address that only tokens of staff open."""

    permission_classes = (ForStaff,)

    @property
    def rights(self) -> Rights:
        """What the caller's duties open; one query."""
        return rights_of(user_id_of(self.request))


class StaffPages(StaffView, GenericAPIView[Any]):
    """An address for staff that may answer in pages."""

    def page_of(self, rows: Any, **context: Any) -> Response:
        """Answer with one page of rows."""
        page = self.paginate_queryset(rows)
        told = self.get_serializer_class()(
            page, many=True, context={**self.get_serializer_context(), **context}
        )
        return self.get_paginated_response(told.data)
