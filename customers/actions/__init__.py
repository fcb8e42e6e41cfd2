"""What can be done to households and homes."""

from customers.actions.photographing import add_photo

__all__ = ["add_photo"]
