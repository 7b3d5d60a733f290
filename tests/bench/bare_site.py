"""The door to the bare view, for the same web server and settings as the site's."""

import gc
import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labsite.settings")
settings.ROOT_URLCONF = "tests.bench.bare_urls"

application = get_wsgi_application()

# As the site's own door does.
gc.collect()
gc.freeze()
