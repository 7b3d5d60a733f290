"""Checks that refuse a start with something wired wrongly."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, register
from django.core.checks import Warning as CheckWarning
from django.db import connections

from results.models import Protocol
from results.policy.protocol import read_protocol
from results.policy.refusals import NotAdmitted

# A batch takes well under a second; a shorter lease would take work away from
# workers that are alive.
_SHORTEST_LEASE_S = 1


@register
def check_claim_lease(
    app_configs: Sequence[AppConfig] | None,  # noqa: ARG001 - Django passes it
    **_: Any,
) -> Iterable[CheckMessage]:
    """Refuse a lease that is shorter than the work it covers."""
    if settings.CLAIM_LEASE_S >= _SHORTEST_LEASE_S:
        return []
    return [
        Error(
            f"CLAIM_LEASE_SECONDS is {settings.CLAIM_LEASE_S:g}.",
            hint=f"Set it to at least {_SHORTEST_LEASE_S}; 30 is usual.",
            id="results.E001",
        )
    ]


@register(Tags.database)
def check_protocols(
    app_configs: Sequence[AppConfig] | None,  # noqa: ARG001 - Django passes it
    databases: Sequence[str] | None = None,
    **_: Any,
) -> Iterable[CheckMessage]:
    """Warn of stored protocols that cannot be read; their submissions would park."""
    table = Protocol._meta.db_table  # noqa: SLF001 - Django's documented interface
    messages: list[CheckMessage] = []
    for alias in databases or ():
        if table not in connections[alias].introspection.table_names():
            continue
        for protocol in Protocol.objects.using(alias).select_related("course"):
            try:
                read_protocol(protocol.document)
            except NotAdmitted as error:
                messages.append(
                    CheckWarning(
                        f"The protocol of {protocol.course}, {protocol}, cannot be "
                        f"read: {error.problems[0].message}",
                        hint="Adopt a mended version with import_protocol.",
                        id="results.W001",
                    )
                )
    return messages
