"""Groups read in their own language; what staff read is English, whole."""

import pytest
from django.template import Context, Template
from django.template.loader import render_to_string
from django.urls import get_resolver, reverse
from django.utils import translation

from labsite.catalogues import Catalogues
from tests.api.test_walls import FOR_GROUPS
from tests.factories import make_bench, make_staff, slip_code
from tests.frontend.benches import sign_in

pytestmark = pytest.mark.django_db
GERMAN = {"Accept-Language": "de-AT,de;q=0.9,en;q=0.5"}


def language_of(answer):
    return answer.headers["Content-Language"]


def test_the_language_is_the_browsers(client):
    assert language_of(client.get("/", headers=GERMAN)) == "de"
    assert language_of(client.get("/", headers={"Accept-Language": "fi"})) == "en"
    assert language_of(client.get("/")) == "en"


def test_the_language_chosen_on_the_page_counts_before_the_browsers(client):
    answer = client.post(reverse("set-language"), {"language": "en", "next": "/"})

    assert answer.status_code == 302
    assert client.cookies["language"]["httponly"]
    assert language_of(client.get("/", headers=GERMAN)) == "en"


def test_a_language_that_is_not_spoken_is_not_chosen(client):
    client.post(reverse("set-language"), {"language": "xx", "next": "/"})

    assert language_of(client.get("/", headers=GERMAN)) == "de"


def test_choosing_a_language_leads_to_no_other_site(client):
    form = {"language": "de", "next": "https://elsewhere.example/"}

    assert client.post(reverse("set-language"), form)["Location"] == "/"


def test_caches_are_told_what_the_language_depends_on(client):
    vary = client.get("/", headers=GERMAN).headers["Vary"]

    assert {"Accept-Language", "Cookie"} <= {name.strip() for name in vary.split(",")}


def addresses():
    """Every named address of the pages, numbers filled in."""
    for name, (places, *_) in get_resolver("frontend.urls").reverse_dict.items():
        if isinstance(name, str):
            yield name, reverse(name, kwargs=dict.fromkeys(places[0][1], 1))


def test_every_page_of_staff_is_english_and_every_other_the_readers(client):
    user = make_staff("ada")
    client.force_login(user)

    spoken = {
        name: language_of(client.get(address, headers=GERMAN))
        for name, address in addresses()
    }

    staffs = {name for name, address in addresses() if address.startswith("/staff/")}
    assert {name for name, language in spoken.items() if language == "en"} == staffs


def test_the_administration_is_english(client):
    assert language_of(client.get("/admin/login/", headers=GERMAN)) == "en"


@pytest.mark.parametrize(
    ("path", "language"),
    [
        ("sign-in", "de"),
        ("bench-sheet", "de"),
        ("submissions", "de"),
        ("submissions/1", "de"),
        ("grade", "de"),
        ("sections/1/grades", "en"),
        ("groups/1/grade", "en"),
        ("staff/sign-in", "en"),
        ("answers", "en"),
        ("problems", "en"),
        ("sections/1/groups", "en"),
        ("submissions-of-all", "en"),
    ],
)
def test_programs_of_groups_are_answered_in_their_language(client, path, language):
    answer = client.get(f"/api/v1/{path}", headers=GERMAN)

    assert language_of(answer) == language


def test_no_address_of_groups_is_forgotten():
    # The table above names these; a new one has to be put there and in `languages`.
    assert {"bench-sheet", "submissions", "submission", "own-grade"} == FOR_GROUPS


def test_a_language_ends_with_its_request(client):
    client.get("/", headers=GERMAN)

    assert translation.get_language() == "en"


@pytest.mark.parametrize("language", ["en", "de"])
def test_what_scripts_read_from_a_page_has_a_point_in_every_language(language):
    with translation.override(language):
        written = Template('<p data-x="{{ x }}">{{ n }}</p>').render(
            Context({"x": 0.25, "n": 12345})
        )

    assert written == '<p data-x="0.25">12345</p>'


def test_a_refusal_is_said_in_the_readers_language(client):
    make_bench(slip=slip_code())
    sign_in(client)

    page = client.get(reverse("bench-result", args=[7]), headers=GERMAN)

    assert "Eine Fassung 7 eurer Messwerte gibt es nicht." in page.content.decode()


def test_every_language_can_be_chosen_with_one_press(client, rf):
    request = rf.get("/bench/")

    with translation.override("de"):
        form = render_to_string("frontend/_language.html", {"back": "/bench/"}, request)

    assert f'action="{reverse("set-language")}"' in form
    assert 'name="next" value="/bench/"' in form
    assert 'value="en" lang="en">English</button>' in form
    assert 'value="de" lang="de" aria-current="true">Deutsch</button>' in form


def test_every_language_that_can_be_chosen_has_its_words(settings):
    with_words = {path.parent.parent.name for path in Catalogues().files()}

    assert {code for code, _ in settings.LANGUAGES} == {"en", *with_words}
