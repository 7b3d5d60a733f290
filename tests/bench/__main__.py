"""Measures how fast answers are computed: `make bench`.

Times are processor seconds of one thread, the best of several runs, so that other
work on the machine matters little.  Everything a ratio compares is measured in the
same run.
"""

import argparse
import logging
import os
import sys

# Nothing here multiplies matrices; a setting for those must not colour a comparison.
for name in [name for name in os.environ if name.startswith("OPENBLAS_")]:
    del os.environ[name]

import django  # noqa: E402

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labsite.settings")
django.setup()

from django.conf import settings  # noqa: E402
from django.db import connection  # noqa: E402

from tests.bench import (  # noqa: E402
    answers,
    effects,
    machine,
    recomputing,
    stored,
    submitting,
)

PARTS = {
    "answers": answers.report,
    "effects": effects.report,
    "submitting": submitting.report,
    "stored": stored.report,
    "recomputing": recomputing.report,
}


def main():
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument(
        "--groups",
        type=int,
        nargs="+",
        default=[1_000, 10_000, 100_000, 1_000_000],
        help="sizes of the batches, ascending",
    )
    parser.add_argument(
        "parts", nargs="*", choices=[[], *PARTS], help="what to measure; all of it"
    )
    chosen = parser.parse_args()
    say(machine.describe())
    connection.creation.create_test_db(verbosity=0)
    # Lines of the log would stand between the figures, and cost time.
    logging.disable(logging.CRITICAL)
    settings.DEBUG, settings.ALLOWED_HOSTS = False, ["*"]
    for name in chosen.parts or PARTS:
        sizes = (sorted(chosen.groups),) if name == "answers" else ()
        for line in PARTS[name](*sizes):
            say(line)


def say(line):
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


main()
