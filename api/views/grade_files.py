"""A section's grades as files, for programs."""

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from api.openapi import file_operation
from api.renderers import CsvRenderer, XlsxRenderer, ZipRenderer
from api.views.bases import StaffView
from results.exports import grade_rows, grades_csv, grades_workbook, oneroster_package


class GradesCsv(StaffView):
    """The grades table as CSV."""

    renderer_classes = (CsvRenderer,)

    @file_operation(
        "Take the grades of a section as CSV",
        name="section_grades_csv",
        media_type=CsvRenderer.media_type,
        example="course,section,group,students,state,accuracy\r\n",
    )
    def get(self, request: Request, section_id: int) -> Response:  # noqa: ARG002
        """Answer with the table."""
        rows = grade_rows(section_id, rights=self.rights)
        return Response(grades_csv(rows))


class GradesXlsx(StaffView):
    """The grades table as a workbook."""

    renderer_classes = (XlsxRenderer,)

    @file_operation(
        "Take the grades of a section as a workbook",
        name="section_grades_xlsx",
        media_type=XlsxRenderer.media_type,
        example="(a workbook)",
    )
    def get(self, request: Request, section_id: int) -> Response:  # noqa: ARG002
        """Answer with the workbook."""
        rows = grade_rows(section_id, rights=self.rights)
        return Response(grades_workbook(rows))


class GradesOneRoster(StaffView):
    """Released grades as a package of the standard."""

    renderer_classes = (ZipRenderer,)

    @file_operation(
        "Take the released grades of a section as a OneRoster 1.2 package",
        name="section_grades_oneroster",
        media_type=ZipRenderer.media_type,
        example="(an archive with manifest.csv, lineItems.csv and results.csv)",
    )
    def get(self, request: Request, section_id: int) -> Response:  # noqa: ARG002
        """Answer with the package."""
        now = timezone.now()
        return Response(oneroster_package(section_id, rights=self.rights, now=now))
