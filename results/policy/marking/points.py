"""Points, exact to the hundredth."""

from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

HUNDREDTH = Decimal("0.01")
NONE = Decimal("0.00")
MOST_POINTS = Decimal(1000)


def rounded(value: Decimal) -> Decimal:
    """Return points to the hundredth, a half upwards: in the student's favour.

    Examples
    --------
    >>> rounded(Decimal("7.125"))
    Decimal('7.13')
    """
    return value.quantize(HUNDREDTH, rounding=ROUND_HALF_UP)


def read_points(typed: object) -> Decimal | None:
    """Return a number of points as typed or stored; None where it is none.

    Examples
    --------
    >>> read_points("7,5"), read_points(3), read_points("seven"), read_points(0.125)
    (Decimal('7.50'), Decimal('3.00'), None, None)
    """
    if isinstance(typed, bool) or not isinstance(typed, str | int | float | Decimal):
        return None
    try:
        value = Decimal(str(typed).strip().replace(",", "."))
    except InvalidOperation:
        return None
    if not value.is_finite() or not -MOST_POINTS <= value <= MOST_POINTS:
        return None
    exact = rounded(value)
    return exact if exact == value else None


def in_print(points: Decimal) -> str:
    """Return points without needless zeros and with a real minus sign.

    Examples
    --------
    >>> in_print(Decimal("7.50")), in_print(Decimal("10.00")), in_print(Decimal("-1"))
    ('7.5', '10', '−1')
    """
    text = f"{points:.2f}".rstrip("0").rstrip(".")
    return text.replace("-", "−")
