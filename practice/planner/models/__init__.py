"""What is asked: week plans, their blocks and balls; and what goes with a player's weeks."""

from practice.planner.models.blocks import Ball, Block, Logging
from practice.planner.models.competitions import Competition
from practice.planner.models.feeds import CalendarFeed
from practice.planner.models.snapshots import DraftSnapshot
from practice.planner.models.templates import WeekTemplate
from practice.planner.models.weeks import FrozenError, PlanState, WeekPlan

__all__ = [
    "Ball",
    "Block",
    "CalendarFeed",
    "Competition",
    "DraftSnapshot",
    "FrozenError",
    "Logging",
    "PlanState",
    "WeekPlan",
    "WeekTemplate",
]
