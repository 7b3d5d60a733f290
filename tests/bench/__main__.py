"""Measures how fast answers are computed: `make bench`.

Times are processor seconds of one thread, the best of several runs, so that other
work on the machine matters little.  Everything a ratio compares is measured in the
same run.
"""

import argparse
import os
import sys

# Nothing here multiplies matrices; a setting for those must not colour a comparison.
for name in [name for name in os.environ if name.startswith("OPENBLAS_")]:
    del os.environ[name]

from tests.bench import answers, machine  # noqa: E402


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
    for line in answers.report(sorted(chosen.groups)):
        say(line)


def say(line):
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


main()
