"""Tables of homes: loaded, matched, looked at, written chunk by chunk."""

from customers.actions.importing.previewing import Preview, Previewed, Several, preview
from customers.actions.importing.running import (
    OURS,
    REASONS,
    NotImportable,
    advance,
    begun_before,
    forget,
    is_stale,
    load_table,
    match_columns,
    refused_rows,
    start,
)

__all__ = [
    "OURS",
    "REASONS",
    "NotImportable",
    "Preview",
    "Previewed",
    "Several",
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
