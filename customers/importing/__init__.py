"""A table of homes that a firm brings: read, matched, checked. Nothing here asks the database.

A home is recognised by its folded address (customers/folding.py).
"""

from customers.importing.arrivals import Arrival
from customers.importing.problems import NotATable, Unreadable
from customers.importing.reading import Row, Table, read_table
from customers.importing.records import Record, RowReader, Rules
from customers.importing.surveying import Survey, survey_table

__all__ = [
    "Arrival",
    "NotATable",
    "Record",
    "Row",
    "RowReader",
    "Rules",
    "Survey",
    "Table",
    "Unreadable",
    "read_table",
    "survey_table",
]
