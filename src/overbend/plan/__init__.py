"""The facade: `Plan` holds everything computed from one project file."""

from overbend.plan.bent import BentPlan
from overbend.plan.export import plan_data
from overbend.plan.facade import Plan, open_plan
from overbend.plan.holds import Hold
from overbend.plan.shape import Shape, named_stations

__all__ = ["BentPlan", "Hold", "Plan", "Shape", "named_stations", "open_plan", "plan_data"]
