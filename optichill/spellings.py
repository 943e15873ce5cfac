"""What people write for units and numbers, where it can mean one thing only; and where it can mean two.

Two tables of meanings: words that mean the same in any case, and signs whose case or shape counts. Likeness
of spelling is never asked: what stands in neither table (`pt`, `deg`: US or imperial, of which scale?) means
nothing here, and neither does what SI's case makes another unit (`Mm`, `ML`, `Mbar`, `mPa`).
"""

from __future__ import annotations

import re

_WORDS: dict[str, tuple[str, ...]] = {
    "mm": ("millimetre", "millimetres", "millimeter", "millimeters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),  # no unit begins with C
    "m": ("metre", "metres", "meter", "meters"),
    "in": ("in", "inch", "inches"),
    "ft": ("ft", "foot", "feet"),
    "L": ("litre", "litres", "liter", "liters", "ltr"),
    "mL": ("millilitre", "millilitres", "milliliter", "milliliters"),
    "cL": ("centilitre", "centilitres", "centiliter", "centiliters"),
    "gal": ("gal", "gals", "gallon", "gallons", "us gal", "us gallon", "us gallons"),
    "imp gal": ("imp gal", "imp gallon", "imp gallons", "imperial gal", "imperial gallon", "imperial gallons",
                "uk gal", "uk gallon", "uk gallons"),
    "qt": ("qt", "quart", "quarts"),
    "degC": ("degc", "°c", "c", "deg c", "° c", "celsius", "degrees c", "degrees celsius", "℃"),
    "degF": ("degf", "°f", "f", "deg f", "° f", "fahrenheit", "degrees f", "degrees fahrenheit", "℉"),
    "K": ("kelvin",),
    "bar": ("bar", "bars"),
    "psi": ("psi",),
    "kPa": ("kpa", "kilopascal", "kilopascals"),  # no prefix K, and k is the one below M
    "Pa": ("pascal", "pascals"),
    "s": ("sec", "secs", "second", "seconds"),
    "min": ("min", "mins", "minute", "minutes"),
    "h": ("hr", "hrs", "hour", "hours"),
    "L/min": ("lpm",),
    "gpm": ("gpm",),
    "gal/h": ("gph",),  # of US gallons, as gpm
    "kg": ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"),  # no prefix K
    "g": ("gram", "grams"),
    "lb": ("lb", "lbs", "pound", "pounds"),
    "oz": ("oz", "ounce", "ounces"),
    "degP": ("degp", "°p", "p", "deg p", "° p", "plato", "degrees plato", "°plato", "° plato"),
    "SG": ("sg",),
}  # fmt: skip
_SIGNS: dict[str, tuple[str, ...]] = {
    "in": ('"', "''", "\N{DOUBLE PRIME}", "\N{RIGHT DOUBLE QUOTATION MARK}"),
    "ft": ("'", "\N{PRIME}", "\N{RIGHT SINGLE QUOTATION MARK}"),
    "mm": ("mm", "MM"),
    "cL": ("cL", "cl"),  # centi- alone: on every bottle
    "m3": ("m3", "m³", "m^3"),
    **{unit: (unit,) for unit in ("m", "K", "mbar", "MPa", "Pa", "s", "h", "g")},
    "L": ("L", "l"),
    "mL": ("mL", "ml"),
}
_MEANT = {word: unit for unit, words in _WORDS.items() for word in words}
_SIGNED = {sign: unit for unit, signs in _SIGNS.items() for sign in signs}
_DEGREE = str.maketrans({"\N{MASCULINE ORDINAL INDICATOR}": "°", "\N{RING ABOVE}": "°"})
_NUMBER = re.compile(r"([+-]?)([0-9][0-9.,]*[0-9])(.*)")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:(?:,[0-9]{3})+(\.[0-9]+)?|(?:\.[0-9]{3})+(,[0-9]+)?)")
_CURRENCY = r"(US\$|[$€£]|[^\W\d_]{2,4})?"
_MONEY = re.compile(_CURRENCY + r" ?([0-9](?:[0-9.,]*[0-9])?) ?" + _CURRENCY)
_PINT = re.compile("pts?|pints?", re.IGNORECASE)
_PINTS = {"US": 0.473176473, "imperial": 0.56826125}  # L, exact: an eighth of either gallon (NIST SP 811)
_RATE = re.compile(r"(.+?)(?: ?/ ?| per )(.+)")


def meaning(written: str) -> str:
    """The unit that is certainly meant, or "".

    Parameters
    ----------
    written : str
        As it stands behind the number.

    Returns
    -------
    str

    Examples
    --------
    >>> meaning("Kg"), meaning("litres per minute"), meaning("Mm"), meaning("pt")
    ('kg', 'L/min', '', '')
    """
    plain = written.translate(_DEGREE).removesuffix(".")  # the full stop of an abbreviation
    rate = _RATE.fullmatch(plain)
    if rate:
        over, under = meaning(rate[1]), meaning(rate[2])
        return f"{over}/{under}" if over and under else ""
    return _SIGNED.get(plain) or _MEANT.get(plain.lower(), "")


def why_signs(text: str) -> str:
    """Why a number with commas is not read, and how it is written; "" where commas are not the matter.

    Parameters
    ----------
    text : str
        A number, and what stands behind it.

    Returns
    -------
    str

    Examples
    --------
    >>> why_signs("9,5 mm")
    'a decimal comma is not read: write 9.5 mm with a point'
    >>> why_signs("1,200 mm")
    'can be 1.2 or 1200: write 1.2 mm or 1200 mm'
    """
    found = _NUMBER.match(text)
    if found is None or "," not in found[2]:
        return ""
    sign, digits, rest = found[1], found[2], found[3].rstrip()
    readings = both_readings(digits)
    if readings:
        one, other = (f"{sign}{reading}" for reading in readings)
        return f"can be {one} or {other}: write {' or '.join(two_readings(text))}"
    grouped = _THOUSANDS.fullmatch(digits)
    if grouped:
        decimals = grouped[1] or grouped[2] or ""
        plain = re.sub("[.,]", "", digits.removesuffix(decimals)) + decimals.replace(",", ".")
        return f"commas between thousands are not read: write {sign}{plain}{rest}"
    if re.fullmatch("[0-9]+,[0-9]+", digits):
        return f"a decimal comma is not read: write {sign}{digits.replace(',', '.')}{rest} with a point"
    return "commas and points are mixed"


def two_readings(text: str) -> tuple[str, ...]:
    """A quantity with a comma that can stand before parts or thousands, written both ways; else nothing.

    Parameters
    ----------
    text : str

    Returns
    -------
    tuple of two str, or empty

    Examples
    --------
    >>> two_readings("1,050 SG"), two_readings("9,5 mm")
    (('1.05 SG', '1050 SG'), ())
    """
    found = _NUMBER.match(text)
    if found is None or "," not in found[2]:
        return ()
    return tuple(f"{found[1]}{reading}{found[3].rstrip()}" for reading in both_readings(found[2]) or ())


_OF_SIGN = {"$": ("USD", "US$", "CAD", "AUD", "NZD"), "€": ("EUR",), "£": ("GBP",)}
"""Currencies (ISO 4217) that a sign stands for."""
_POINTED = ("$", "£")
"""Signs of countries that write 1,200 for twelve hundred, and nothing else."""


def without_sign(text: str, currency: str) -> tuple[str, str]:
    """An amount of money as a plain number, and the sign that stood before or behind it.

    Parameters
    ----------
    text, currency : str
        As they are written; the currency is that of the file.

    Returns
    -------
    tuple of str
        The number, "" where the sign or word is another currency's; the sign, "" where there is none.

    Examples
    --------
    >>> without_sign("$1,124.50", "USD"), without_sign("150 €", "EUR"), without_sign("$15", "EUR")
    (('1124.50', '$'), ('150', '€'), ('', '$'))
    >>> without_sign("$1,200", "USD"), without_sign("1.200 €", "EUR"), without_sign("42.5", "EUR")
    (('1200', '$'), ('1.200', '€'), ('42.5', ''))
    >>> without_sign("6 EUR", "EUR"), without_sign("eur 6", "EUR"), without_sign("6 kr", "EUR")
    (('6', 'EUR'), ('6', 'eur'), ('', 'kr'))
    """
    found = _MONEY.fullmatch(text)
    if found is None or not (found[1] or found[3]) or (found[1] and found[3]):
        return text, ""
    sign, digits = found[1] or found[3], found[2]
    if sign.upper() != currency.upper() and currency not in _OF_SIGN.get(sign, ()):
        return "", sign
    pointed = any(sign == of or sign.upper() in _OF_SIGN[of] for of in _POINTED)
    decimals = "." if pointed else decimal_sign(digits)
    thousands = {".": ",", ",": "."}.get(decimals, "")
    grouped = not thousands or thousands not in digits or _THOUSANDS.fullmatch(digits)
    return (digits.replace(thousands, "").replace(decimals or ".", ".") if grouped else digits), sign


def both_readings(digits: str) -> tuple[str, str] | None:
    """What a number with one comma or point before three digits can be: parts of one, or thousands.

    Parameters
    ----------
    digits : str

    Returns
    -------
    tuple of two str, or None where it can be one thing only

    Examples
    --------
    >>> both_readings("1,200"), both_readings("0,125"), both_readings("59.90")
    (('1.2', '1200'), None, None)
    """
    found = re.fullmatch("([1-9][0-9]{0,2})[.,]([0-9]{3})", digits)
    return (f"{float(f'{found[1]}.{found[2]}'):g}", found[1] + found[2]) if found else None


def either_pint(number: float, written: str) -> str:
    """Why pints are not read, with what they can be; "" for another unit.

    Parameters
    ----------
    number : float
    written : str
        The unit as it stands behind the number.

    Returns
    -------
    str

    Examples
    --------
    >>> either_pint(8.0, "pt")
    "'pt' can be US pints, 3.79 L, or imperial pints, 4.55 L: write 3.79 L or 4.55 L"
    >>> either_pint(3.0, "pt/min")
    "'pt/min' can be US pints, 1.42 L/min, or imperial pints, 1.7 L/min: write 1.42 L/min or 1.7 L/min"
    """
    rate = _RATE.fullmatch(written)
    amount, time = rate.groups() if rate else (written, "")
    if not _PINT.fullmatch(amount.removesuffix(".")) or (time and not meaning(time)):
        return ""
    unit = f"L/{meaning(time)}" if time else "L"
    us, imperial = (f"{number * litres:.3g} {unit}" for litres in _PINTS.values())
    return f"'{written}' can be US pints, {us}, or imperial pints, {imperial}: write {us} or {imperial}"


def decimal_sign(digits: str) -> str:
    """The sign that certainly stands before a number's decimals, or would; "" where it can be either.

    Parameters
    ----------
    digits : str

    Returns
    -------
    str

    Examples
    --------
    >>> decimal_sign("59,90"), decimal_sign("1.092,00"), decimal_sign("1,092,000"), decimal_sign("1.092")
    (',', ',', '.', '')
    """
    signs = re.sub("[0-9]", "", digits)
    if len(signs) == 1:
        return "" if both_readings(digits) else signs
    if not signs or not _THOUSANDS.fullmatch(digits):
        return ""
    return signs[-1] if len(set(signs)) == 2 else {",": ".", ".": ","}[signs[0]]
