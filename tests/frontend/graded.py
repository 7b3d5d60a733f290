"""Pages of grades, as assistants and coordinators press through them."""

from django.urls import reverse

from results.models import Grade
from tests.results.grading.classes import versions


def page(client, name, *args):
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return answer.content.decode()


def press(client, name, *args, **fields):
    return client.post(reverse(name, args=args), fields)


def seen(section):
    return " ".join(
        f"{group}:{version}" for group, version in versions(section).items()
    )


def accept_all(client, section):
    press(client, "grading-accept", section.pk, clean="1", seen=seen(section))
    drafts = Grade.objects.filter(state="draft").values_list("group_id", flat=True)
    press(
        client,
        "grading-accept",
        section.pk,
        some="1",
        chosen=list(drafts),
        seen=seen(section),
    )
