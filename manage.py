#!/usr/bin/env python
"""Run a management command of Benchwide."""

import os
import sys


def main() -> None:
    """Hand the command line to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labsite.settings")
    from django.core.management import execute_from_command_line

    from labsite.catalogues import Catalogues
    from labsite.environment import BadEnvironment

    Catalogues().compile_stale()
    try:
        execute_from_command_line(sys.argv)
    except BadEnvironment as error:
        sys.exit(str(error))


if __name__ == "__main__":
    main()
