"""Pieces of the home sheet that apps above bring: a template each, and the facts it shows."""

from collections.abc import Callable
from typing import Any, Literal, NamedTuple

from customers.models import Home

Place = Literal["state", "acts", "left", "right"]
Facts = Callable[[Home], dict[str, Any]]


class Piece(NamedTuple):
    place: Place
    template: str
    facts: Facts


_pieces: list[Piece] = []


def register(*, place: Place, template: str, facts: Facts) -> None:
    """Show this template at that place of every home sheet, with `home` and these facts.

    state: under the address, the ring in words; acts: among the buttons; left: under the drawing;
    right: over the story. Registering twice changes nothing.
    """
    piece = Piece(place, template, facts)
    if piece not in _pieces:
        _pieces.append(piece)


def pieces(place: Place) -> list[Piece]:
    return [piece for piece in _pieces if piece.place == place]
