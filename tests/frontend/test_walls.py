"""Every address of the site, asked for by everybody who should not have it.

The addresses come from the site itself: a new one that nobody has put behind a
wall fails (`walls.py` says which stands behind which).
"""

from urllib.parse import urlsplit

import pytest

from tests.frontend.walls import ROUTES, filled, make_site, routes, signed_in, wall_of
from tests.stored import everything

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("name", "route"), ROUTES)
def test_every_address_stands_behind_a_wall(name, route):
    assert name, f"{route} has no name"
    assert wall_of(name, route), f"{name} stands behind no wall"


@pytest.mark.urls("tests.frontend.one_more")
def test_a_new_address_without_a_wall_is_noticed():
    new = set(routes()) - set(ROUTES)

    assert new == {("brand-new", "brand-new/"), (None, "staff/nameless/")}
    assert not any(wall_of(name, route) for name, route in new)


@pytest.fixture
def site():
    return make_site()


KEPT_OUT = {
    "groups": ("nobody", "ada", "ben"),
    "staff": ("nobody", "group"),
    "section": ("nobody", "group", "eve"),
    "course": ("nobody", "group", "eve", "ben"),
}


@pytest.mark.parametrize("who", ["nobody", "group", "eve", "ben", "ada"])
def test_nobody_comes_past_a_wall(client, site, who):
    signed_in(client, who)
    before = everything()
    came_past = []

    for name, route in ROUTES:
        wall = wall_of(name, route)
        if who not in KEPT_OUT.get(wall, ()):
            continue
        address = filled(route, site)
        for method in (client.get, client.post):
            answer = method(address)
            is_at_the_door = answer.status_code == 302 and urlsplit(
                answer.headers["Location"]
            ).path in {"/", "/staff/sign-in/"}
            if not is_at_the_door and answer.status_code not in {401, 403, 404, 405}:
                came_past.append((name, method.__name__, answer.status_code))

    assert came_past == []
    assert everything() == before


def test_coordinators_and_assistants_see_their_pages(client, site):
    for who, walls in (("ada", {"staff", "course", "section"}), ("ben", {"section"})):
        signed_in(client, who)
        opened = [
            client.get(filled(route, site)).status_code
            for name, route in ROUTES
            if wall_of(name, route) in walls
        ]

        assert opened.count(200) > 5
        assert not [status for status in opened if status >= 500]
