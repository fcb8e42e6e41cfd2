"""Two years of an invented firm, played through the same actions as real work."""

from warranties.demo.life import play

__all__ = ["play"]
