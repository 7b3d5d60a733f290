"""Who calls."""

from rest_framework.authentication import BaseAuthentication


class TokenAuthentication(BaseAuthentication):
    """Signed tokens of groups and staff."""
