"""Every error is a problem document (RFC 9457)."""

from rest_framework.views import exception_handler as problem_response

__all__ = ["problem_response"]
