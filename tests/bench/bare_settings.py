"""The site's settings with the bare view in place of its pages."""

from labsite.settings import *  # noqa: F403

ROOT_URLCONF = "tests.bench.bare_urls"
