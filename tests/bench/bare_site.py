"""The door to the bare view, for the same web server and settings as the site's."""

import gc
import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application


def bare_application():
    """Return what a web server serves: the site with the bare view as its only page."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labsite.settings")
    settings.ROOT_URLCONF = "tests.bench.bare_urls"
    application = get_wsgi_application()
    # As the site's own door does.
    gc.collect()
    gc.freeze()
    return application
