"""Days and times as forms and programs hand them over."""

from datetime import date, datetime, tzinfo

# Databases and calendars end somewhere, and the last hours of the last year have no
# name in other zones; no course is held beyond these.
_YEARS = range(1970, 2201)


def read_moment(typed: str, zone: tzinfo) -> datetime | None:
    """Return a moment, ISO 8601; None if nothing was typed.

    Parameters
    ----------
    zone : tzinfo
        Of a moment without a zone of its own.

    Raises
    ------
    ValueError
        It is none, or of another century.
    """
    if not typed.strip():
        return None
    moment = datetime.fromisoformat(typed.strip())
    moment = moment if moment.tzinfo else moment.replace(tzinfo=zone)
    if moment.year not in _YEARS:
        raise ValueError(typed)
    return moment


def read_day(typed: str) -> date:
    """Return a day, ISO 8601.

    Raises
    ------
    ValueError
        It is none, or of another century.
    """
    day = date.fromisoformat(typed.strip())
    if day.year not in _YEARS:
        raise ValueError(typed)
    return day
