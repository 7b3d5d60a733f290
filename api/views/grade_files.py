"""A section's grades as files, for programs."""

import json
from collections.abc import Mapping
from typing import Any

from django.utils import timezone
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.openapi import file_operation
from api.permissions import ForStaff, user_id_of
from results.exports import grade_rows, grades_csv, grades_workbook, oneroster_package
from results.summaries.rights import rights_of


class _FileRenderer(BaseRenderer):
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


class CsvRenderer(_FileRenderer):
    """RFC 4180."""

    media_type = "text/csv"
    format = "csv"


class XlsxRenderer(_FileRenderer):
    """Office Open XML (ISO/IEC 29500)."""

    media_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    format = "xlsx"


class ZipRenderer(_FileRenderer):
    """An archive of CSV files."""

    media_type = "application/zip"
    format = "zip"


class _GradesFile(APIView):
    permission_classes = (ForStaff,)


class GradesCsv(_GradesFile):
    """The grades table as CSV."""

    renderer_classes = (CsvRenderer,)

    @file_operation(
        "Take the grades of a section as CSV",
        name="section_grades_csv",
        media_type=CsvRenderer.media_type,
        example="course,section,group,students,state,accuracy\r\n",
    )
    def get(self, request: Request, section_id: int) -> Response:
        """Answer with the table."""
        rows = grade_rows(section_id, rights=rights_of(user_id_of(request)))
        return Response(grades_csv(rows))


class GradesXlsx(_GradesFile):
    """The grades table as a workbook."""

    renderer_classes = (XlsxRenderer,)

    @file_operation(
        "Take the grades of a section as a workbook",
        name="section_grades_xlsx",
        media_type=XlsxRenderer.media_type,
        example="(a workbook)",
    )
    def get(self, request: Request, section_id: int) -> Response:
        """Answer with the workbook."""
        rows = grade_rows(section_id, rights=rights_of(user_id_of(request)))
        return Response(grades_workbook(rows))


class GradesOneRoster(_GradesFile):
    """Released grades as a package of the standard."""

    renderer_classes = (ZipRenderer,)

    @file_operation(
        "Take the released grades of a section as a OneRoster 1.2 package",
        name="section_grades_oneroster",
        media_type=ZipRenderer.media_type,
        example="(an archive with manifest.csv, lineItems.csv and results.csv)",
    )
    def get(self, request: Request, section_id: int) -> Response:
        """Answer with the package."""
        rights = rights_of(user_id_of(request))
        return Response(
            oneroster_package(section_id, rights=rights, now=timezone.now())
        )
