"""Counting what one sender does within a while: guesses, questions."""

from django.core.cache import cache


def tally(key: str, seconds: int) -> int:
    """Count one more under the key and return how many; forgotten so long after the last one."""
    cache.add(key, 0, timeout=seconds)
    try:
        number = cache.incr(key)
    except ValueError:  # it lapsed in between
        cache.set(key, 1, timeout=seconds)
        return 1
    cache.touch(key, seconds)  # a cache in files forgets the time given first
    return number
