"""What cannot be done to a course that is being prepared, as things stand."""

from datetime import datetime

from results.policy.language import day_and_time
from results.policy.refusals import NotFound, Refusal


class MayNotMakeCourses(NotFound):
    """Courses are made by who coordinates one, or keeps the site."""

    code = "may-not-make-courses"

    def __init__(self) -> None:
        super().__init__(
            "Courses are made by coordinators. Ask one of yours, or whoever keeps "
            "this site."
        )


class ProtocolChanged(Refusal):
    """Another version was adopted between looking and deciding."""

    code = "protocol-changed"

    def __init__(self, version: int) -> None:
        super().__init__(
            f"Version {version} was adopted meanwhile. Look at what it changed, then "
            "decide again; what you typed is still here, nothing was overwritten."
        )


class CourseChanged(Refusal):
    """What was shown before is no longer what would be done."""

    code = "course-changed"

    def __init__(self) -> None:
        super().__init__(
            "What would be done is not what you looked at: something changed "
            "meanwhile. Look at it as it is now, then decide again; nothing was done."
        )


class PrepPlanChanged(Refusal):
    """The prep plan was saved between looking at it and saving it."""

    code = "prep-plan-changed"

    def __init__(self, by: str, at: datetime) -> None:
        super().__init__(
            f"{by} saved another version on {day_and_time(at)}, while this page was "
            "open. What you typed is below; compare before you save it over theirs."
        )
