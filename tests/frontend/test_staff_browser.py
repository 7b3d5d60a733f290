"""Pages of staff and their sign-in in a browser: the way to the college, barriers."""

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone

from results.models import OutsideIdentity
from results.rosters.staff import make_link
from tests.factories import NOW, PASSWORD, make_section, make_staff
from tests.frontend.browsers import staff_sign_in, violations
from tests.frontend.chromium import NEEDS_BROWSER
from tests.frontend.college import ZOE
from tests.frontend.sign_on import college, set_up
from tests.frontend.test_barriers import pages_wider_than

__all__ = ["college"]
pytestmark = NEEDS_BROWSER
STAFF = "/staff/courses/IRON-1/prepare/staff/"


@pytest.fixture
def section():
    return make_section()


def link_for(name, at):
    return reverse("welcome-link", args=[make_link(name, now=at).token])


def test_the_way_to_the_college_and_back_is_open_to_a_browser(tab, college, section):
    zoe = make_staff("zoe", role="assistant", section=section)
    OutsideIdentity.objects.create(
        user=zoe, issuer=college.issuer, subject=ZOE["sub"], linked_at=NOW
    )
    wanted = reverse("section", args=[section.pk])

    tab.goto(wanted)
    tab.get_by_role("link", name="Sign in with Northfold College").click()
    tab.wait_for_url(f"**{wanted}")
    tab.get_by_role("button", name="Sign out").click()
    tab.get_by_role("link", name="Sign out of Northfold College").wait_for()

    assert tab.complaints == []


def test_an_invited_person_comes_in_by_the_college(tab, college, section, settings):
    set_up(settings, college, email_domains=())
    ben = make_staff("ben", role="assistant", section=section)

    tab.goto(link_for("ben", timezone.now()))
    tab.get_by_role("link", name="Sign in with Northfold College").click()
    tab.wait_for_url("**/staff/")

    assert OutsideIdentity.objects.get().user == ben
    assert "Section A1" in tab.locator("main").inner_text()


def test_a_coordinator_invites_somebody_by_keyboard(tab, section):
    make_staff("ada")
    staff_sign_in(tab, "ada")
    tab.goto(STAFF)

    tab.get_by_label("User name or e-mail").fill("zoe@chem.example")
    tab.get_by_label("Duty").select_option("section:A1")
    tab.get_by_role("button", name="Invite somebody new").focus()
    tab.keyboard.press("Enter")
    link = tab.locator("code").inner_text()
    tab.context.clear_cookies()
    tab.goto(link)
    tab.get_by_label("New password").fill(PASSWORD)
    tab.get_by_label("Once more").fill(PASSWORD)
    tab.get_by_role("button", name="Set the password").click()
    tab.wait_for_url("**/staff/")

    assert User.objects.get(username="zoe@chem.example").check_password(PASSWORD)
    assert tab.complaints == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_of_signing_in_has_a_barrier(tab, college, scheme):
    make_staff("ada")
    tab.emulate_media(color_scheme=scheme)
    found = []
    for address in (
        reverse("staff-sign-in"),
        reverse("sign-on-back"),
        reverse("sign-on"),
        reverse("signed-out"),
        link_for("ada", timezone.now()),
    ):
        tab.goto(address)
        found += violations(tab)
    tab.get_by_label("New password").fill("1234")
    tab.get_by_label("Once more").fill("1234")
    tab.get_by_role("button", name="Set the password").click()
    tab.locator("#password-problems").wait_for()
    found += violations(tab)

    assert found == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_state_of_the_page_of_staff_has_a_barrier(tab, section, scheme):
    make_staff("ada")
    make_staff("ben", role="assistant", section=section)
    tab.emulate_media(color_scheme=scheme)
    staff_sign_in(tab, "ada")
    tab.goto(reverse("change-password"))
    found = violations(tab)
    tab.goto(STAFF)
    found += violations(tab)
    tab.get_by_label("User name or e-mail").fill("zoe")
    tab.get_by_label("Duty").select_option("course")
    tab.get_by_role("button", name="Give the duty").click()
    tab.locator("#staff-problems").wait_for()
    found += violations(tab)
    tab.get_by_role("button", name="Invite somebody new").click()
    tab.locator("#link-made").wait_for()
    tab.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    found += violations(tab)

    assert found == []


@pytest.mark.parametrize("width", [390, 320])
def test_no_page_of_staff_and_signing_in_is_wider_than_a_phone(
    tab, college, section, width
):
    name = "somebody-with-a-name-that-is-rather-long@chemistry.example"
    make_staff(name)
    college.person["preferred_username"] = name
    addresses = [
        reverse("staff-sign-in"),
        reverse("sign-on"),
        reverse("signed-out"),
        link_for(name, timezone.now()),
    ]
    found = pages_wider_than(tab, addresses, width)
    staff_sign_in(tab, name)
    found += pages_wider_than(tab, [STAFF, reverse("change-password")], width)
    tab.get_by_label("The password you have now").wait_for()
    tab.goto(STAFF)
    tab.get_by_label("User name or e-mail").fill("zoe-" + name)
    tab.get_by_label("Duty").select_option("section:A1")
    tab.get_by_role("button", name="Invite somebody new").click()
    tab.locator("#link-made").wait_for()

    assert found == []
    assert tab.evaluate("document.documentElement.scrollWidth") <= width
