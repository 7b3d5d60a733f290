"""Measures how fast answers are computed: `make bench`.

Times are processor seconds of one thread, the best of several runs, so that other
work on the machine matters little.  Everything a ratio compares is measured in the
same run.
"""

import argparse
import logging
import os
import sys
from itertools import chain

# Nothing here multiplies matrices; a setting for those must not colour a comparison.
for name in [name for name in os.environ if name.startswith("OPENBLAS_")]:
    del os.environ[name]

import django  # noqa: E402
from django.conf import settings  # noqa: E402
from django.db import connection  # noqa: E402

from tests.bench import answers, effects, machine, stored, submitting  # noqa: E402

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labsite.settings")


def main():
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument(
        "--groups",
        type=int,
        nargs="+",
        default=[1_000, 10_000, 100_000, 1_000_000],
        help="sizes of the batches, ascending",
    )
    chosen = parser.parse_args()
    say(machine.describe())
    for line in chain(answers.report(sorted(chosen.groups)), effects.report()):
        say(line)
    django.setup()
    connection.creation.create_test_db(verbosity=0)
    # Lines of the log would stand between the figures, and cost time.
    logging.disable(logging.CRITICAL)
    settings.DEBUG, settings.ALLOWED_HOSTS = False, ["*"]
    for line in chain(stored.report(), submitting.report()):
        say(line)


def say(line):
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


main()
