"""Every change to households and homes."""

from customers.actions.consenting import Said, record_consent, record_consents
from customers.actions.finding import keep_words, keep_words_of_all
from customers.actions.opening import (
    HomeKnown,
    NotChangeable,
    add_owner,
    change_home,
    change_household,
    change_owner,
    open_home,
)
from customers.actions.paperless import give_paperless, withdraw_paperless
from customers.actions.photographing import add_photo

__all__ = [
    "HomeKnown",
    "NotChangeable",
    "Said",
    "add_owner",
    "add_photo",
    "change_home",
    "change_household",
    "change_owner",
    "give_paperless",
    "keep_words",
    "keep_words_of_all",
    "open_home",
    "record_consent",
    "record_consents",
    "withdraw_paperless",
]
