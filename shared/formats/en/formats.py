"""Dates written out, day first, as everywhere in Ringkeep."""

DATE_FORMAT = "j F Y"
DATETIME_FORMAT = "j F Y, P"
MONTH_DAY_FORMAT = "j F"
SHORT_DATE_FORMAT = "j M Y"
