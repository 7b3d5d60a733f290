"""Sentences for people follow Accept-Language; what programs read does not."""

from tests.api.bodies import body
from tests.factories import raw_submission, submit, worked_off


def in_both(see):
    return {language: see({"Accept-Language": language}) for language in ("en", "de")}


def test_a_finding_is_told_in_german_under_the_same_code(bench, group_program):
    submit(bench.group, raw_submission(percent_T={"3": 45.0}))
    worked_off()

    seen = in_both(lambda h: group_program.get("/api/v1/submissions/1", headers=h))

    english, german = (answer.data["findings"][0] for answer in seen.values())
    words = {"title", "sentence", "advice"}
    assert all(english[name] != german[name] for name in words)
    assert "Röhrchen 3" in german["sentence"]
    assert {k: v for k, v in english.items() if k not in words} == {
        k: v for k, v in german.items() if k not in words
    }
    assert seen["en"].data["line"] == seen["de"].data["line"]
    assert seen["en"].data["iron"] == seen["de"].data["iron"]


def test_a_problem_keeps_its_type_and_says_its_detail_in_german(bench, group_program):
    sent = body() | {"standard_mass_g": "210,5"}

    seen = in_both(
        lambda headers: group_program.post(
            "/api/v1/submissions",
            sent,
            format="json",
            headers={"Idempotency-Key": "key-9", **headers},
        )
    )

    english, german = (answer.json() for answer in seen.values())
    assert seen["de"].headers["Content-Language"] == "de"
    assert {k: v for k, v in english.items() if k not in {"detail", "errors"}} == {
        k: v for k, v in german.items() if k not in {"detail", "errors"}
    }
    assert german["errors"][0]["pointer"] == english["errors"][0]["pointer"]
    assert "In Gramm sind es 0,2105." in german["errors"][0]["detail"]
    assert german["detail"].startswith("Eine Stelle ist noch zu berichtigen")


def test_without_a_wish_a_program_is_answered_in_english(group_program):
    answer = group_program.post("/api/v1/submissions", {}, format="json")

    assert answer.headers["Content-Language"] == "en"
    assert "Send the header" in answer.json()["detail"]
