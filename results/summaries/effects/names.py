"""What the levels of factors are called."""

from typing import Any

from django.contrib.auth import get_user_model

from results.models import Duty, Lot, Section, Station
from results.policy.access import Role


class Names:
    """Codes of a course's stations, sections, lots and assistants; four queries."""

    def __init__(self, course_id: int) -> None:
        users = get_user_model().objects.filter(
            pk__in=Duty.objects.filter(course_id=course_id, role=Role.ASSISTANT).values(
                "user_id"
            )
        )
        self.stations = {
            one.pk: one for one in Station.objects.filter(course_id=course_id)
        }
        self.sections = {
            one.pk: one for one in Section.objects.filter(course_id=course_id)
        }
        self.lots = {one.pk: one for one in Lot.objects.filter(course_id=course_id)}
        self._assistants = {
            str(one.pk): one.get_full_name() or one.get_username() for one in users
        }

    def of(self, factor: str, level: Any) -> str:
        """Return what a level is called; of one that is gone, what it was."""
        match factor:
            case "station" if level in self.stations:
                return self.stations[level].code
            case "section" if level in self.sections:
                return self.sections[level].code
            case "lot" if level in self.lots:
                return self.lots[level].code
            case "assistant":
                known = (self._assistants.get(pk, pk) for pk in str(level).split(","))
                return " and ".join(known)
            case "week":
                return f"{int(level) % 100} of {int(level) // 100}"
            case _:
                return "" if level is None else str(level)
