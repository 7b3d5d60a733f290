"""What is installed is what is pinned, and the site may run on it."""

import pytest

from labsite.audit import NOT_ASKED, advisories, differences, is_fine, pinned, problems

PINS = "numpy==2.4.6\nattrs==26.1.0 ; sys_platform == 'nowhere'\n"


def test_nothing_is_wrong_with_this_environment():
    assert list(problems()) == []


def test_pins_hold_where_their_marker_does():
    assert pinned(PINS) == ({"numpy": "2.4.6"}, [])


@pytest.mark.parametrize("line", ["numpy", "numpy>=2", "numpy==2.*", "numpy==2,<3"])
def test_a_line_that_pins_nothing_is_named(line):
    _, (said,) = pinned(line)

    assert f"“{line}” names no exact version" in said


@pytest.mark.parametrize(
    ("have", "said"),
    [
        ({"numpy": "2.4.6"}, []),
        ({"numpy": "2.4.5"}, ["numpy 2.4.5 is installed, 2.4.6 is pinned."]),
        (
            {"numpy": "2.4.6", "stray": "1"},
            ["stray 1 is installed, and pinned nowhere."],
        ),
        ({"pip": "1"}, ["numpy 2.4.6 is pinned, and not installed."]),
    ],
)
def test_what_differs_from_its_pin_is_named(have, said):
    assert list(differences(have, {"numpy": "2.4.6"})) == said


@pytest.mark.parametrize(
    ("licence", "fine"),
    [
        ("BSD-3-Clause AND (MIT OR Zlib)", True),
        ("MIT AND GPL-3.0-only", False),
        ("UNKNOWN", False),
        ("", False),
    ],
)
def test_a_licence_is_fine_if_all_its_parts_are(licence, fine):
    assert is_fine(licence) is fine


def written(folder, lines):
    program = folder / "pip-audit"
    program.write_text(f"#!/bin/sh\n{lines}\n")
    program.chmod(0o700)
    return str(program)


def test_without_the_program_nothing_is_called_sound(capsys):
    assert advisories(None) == NOT_ASKED
    assert "Nothing was checked" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("lines", "code", "said"),
    [
        ("echo No known vulnerabilities found >&2", 0, "No known"),
        ("echo x 1.0 ID-1; echo Found 1 known >&2; exit 1", 1, "x 1.0 ID-1"),
        ("echo x could not be audited; exit 0", NOT_ASKED, "1 packages were not"),
        ("echo no route to host >&2; exit 1", NOT_ASKED, "no route to host"),
    ],
)
def test_only_an_answer_counts(tmp_path, capsys, lines, code, said):
    assert advisories(written(tmp_path, lines)) == code
    assert said in capsys.readouterr().out
