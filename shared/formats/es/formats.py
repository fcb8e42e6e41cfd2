"""Dates written out, as everywhere in Ringkeep."""

DATE_FORMAT = r"j \d\e F \d\e Y"
DATETIME_FORMAT = r"j \d\e F \d\e Y, H:i"
TIME_FORMAT = "H:i"
MONTH_DAY_FORMAT = r"j \d\e F"
SHORT_DATE_FORMAT = "j M Y"
