"""Tables of homes: loaded, matched, looked at, written chunk by chunk."""

from customers.actions.importing.running import (
    REASONS,
    NotImportable,
    Previewed,
    advance,
    begun_before,
    forget,
    is_stale,
    load_table,
    match_columns,
    preview,
    refused_rows,
    start,
)

__all__ = [
    "REASONS",
    "NotImportable",
    "Previewed",
    "advance",
    "begun_before",
    "forget",
    "is_stale",
    "load_table",
    "match_columns",
    "preview",
    "refused_rows",
    "start",
]
