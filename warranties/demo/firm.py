"""What the play needs at hand: facts, chance, the day it is played on, people and crews."""

from dataclasses import dataclass, field
from datetime import date, datetime, time
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

from jobs.models import Crew
from shared.models import User


@dataclass
class Firm:
    """`facts` is fixtures/demo.toml; `now` is aware."""

    facts: dict[str, Any]
    chance: Random
    now: datetime
    people: dict[str, User] = field(default_factory=dict)
    crews: list[Crew] = field(default_factory=list)

    def at(self, day: date, hour: int, minute: int = 0) -> datetime:
        return datetime.combine(day, time(hour, minute), ZoneInfo(settings.TIME_ZONE))

    def today(self) -> date:
        return self.now.astimezone(ZoneInfo(settings.TIME_ZONE)).date()
