"""A day of the book: how many sheets and sitters, when it is through, what to pack."""

from stillroom.services.day.answer import day
from stillroom.services.day.asked import DayAsked, leading_sitting

__all__ = ["DayAsked", "day", "leading_sitting"]
