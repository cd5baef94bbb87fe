"""Numbers as reports and tables write them."""


def number_text(value: float, decimals: int = 2) -> str:
    """Return a number without trailing zeros.

    Examples
    --------
    >>> number_text(7.5), number_text(8.0), number_text(2 / 3)
    ('7.5', '8', '0.67')
    """
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
