"""Which addresses answer in the reader's language."""

import re

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils import translation
from django.utils.cache import patch_vary_headers

# What staff read is in English, whole: half of a page in another language would be
# worse than none. Programs of groups are answered as groups are.
_ENGLISH = re.compile(
    r"/(staff|admin)/|/api/v1/(?!(sign-in|bench-sheet|submissions|grade)(/|$))"
)


class ReadersLanguage(LocaleMiddleware):
    """The language chosen on the page, else the browser's, else English."""

    def process_request(self, request: HttpRequest) -> None:
        """Speak the reader's language until the request is answered."""
        if _ENGLISH.match(request.path_info):
            translation.activate("en")
            request.LANGUAGE_CODE = "en"
        else:
            super().process_request(request)

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        """Tell caches what the language depends on, and speak English again."""
        if _ENGLISH.match(request.path_info):
            response.headers.setdefault("Content-Language", "en")
        else:
            patch_vary_headers(response, ("Cookie",))
            response = super().process_response(request, response)
        # What the thread does next may be nobody's request.
        translation.deactivate()
        return response
