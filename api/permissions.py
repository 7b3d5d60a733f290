"""Which token opens which addresses."""

from typing import Any, cast

from django.utils.translation import gettext_lazy
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from api.authentication import GroupViewer, StaffViewer
from results.policy.access import Actor
from results.summaries.rights import rights_of


class ForGroups(BasePermission):
    """Only tokens of groups."""

    message = gettext_lazy(
        "This address is for groups. Sign in with the code on a slip."
    )

    def has_permission(self, request: Request, view: Any) -> bool:  # noqa: ARG002
        """Whether a group calls."""
        return isinstance(request.user, GroupViewer)


class ForStaff(BasePermission):
    """Only tokens of staff."""

    message = "This address is for staff. Sign in with a name and a password."

    def has_permission(self, request: Request, view: Any) -> bool:  # noqa: ARG002
        """Whether a member of staff calls."""
        return isinstance(request.user, StaffViewer)


def group_id_of(request: Request) -> int:
    """Return the group that calls, behind `ForGroups`."""
    return cast("GroupViewer", request.user).group_id


def user_id_of(request: Request) -> int:
    """Return the member of staff who calls, behind `ForStaff`."""
    return cast("StaffViewer", request.user).user_id


def actor_of(request: Request) -> Actor:
    """Return who acts, with their rights, behind `ForStaff`; one query."""
    viewer = cast("StaffViewer", request.user)
    return Actor(viewer.user_id, viewer.name, rights_of(viewer.user_id))
