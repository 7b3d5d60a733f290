"""What the API says of itself: its description, its problems, what is not there."""

from django.http import Http404
from drf_spectacular.views import SpectacularSwaggerSplitView, SpectacularYAMLAPIView
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.answers.common import ProblemKindSerializer
from api.openapi import operation
from api.problems import KINDS
from results.policy.refusals import NotFound

_TAG = "about"


class Description(SpectacularYAMLAPIView):
    """The API's description."""

    authentication_classes = ()
    permission_classes = (AllowAny,)


class Pages(SpectacularSwaggerSplitView):
    """The description as pages, with everything served from this site."""

    authentication_classes = ()
    permission_classes = (AllowAny,)
    url_name = "api:openapi"
    template_name = "api/docs.html"


class _Public(APIView):
    authentication_classes = ()
    permission_classes = (AllowAny,)


class Problems(_Public):
    """All kinds of problem."""

    @operation(
        _TAG,
        "List the kinds of problem",
        {200: (ProblemKindSerializer(many=True), "All of them.")},
        name="problems",
        example=ProblemKindSerializer(KINDS["not-admitted"]).data,
        public=True,
    )
    def get(self, request: Request) -> Response:  # noqa: ARG002
        """Answer with every kind."""
        return Response(ProblemKindSerializer(KINDS.values(), many=True).data)


class Problem(_Public):
    """One kind of problem."""

    @operation(
        _TAG,
        "Explain one kind of problem",
        {200: (ProblemKindSerializer, "What it means.")},
        name="problem",
        example=ProblemKindSerializer(KINDS["not-admitted"]).data,
        problems=("not-found",),
        public=True,
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with the explanation."""
        if code not in KINDS:
            message = f"There is no kind of problem {code}."
            raise NotFound(message)
        return Response(ProblemKindSerializer(KINDS[code]).data)


class NothingHere(_Public):
    """Every other address under the API."""

    def initial(self, request: Request, *args: object, **kwargs: object) -> None:
        """Say so, whatever the method."""
        super().initial(request, *args, **kwargs)
        message = "Nothing is at this address."
        raise Http404(message)
