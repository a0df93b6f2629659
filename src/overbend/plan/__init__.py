"""The facade: `Plan` holds everything computed from one project file."""

from overbend.plan.bent import BentPlan
from overbend.plan.cutting import Cutting, Kept, ToCut
from overbend.plan.cutting_words import cutting_lines, money, proof_words
from overbend.plan.export import plan_data
from overbend.plan.export_cutting import cutting_data
from overbend.plan.facade import Plan, open_plan
from overbend.plan.holds import Hold
from overbend.plan.shape import Shape, named_stations

__all__ = [
    "BentPlan",
    "Cutting",
    "Hold",
    "Kept",
    "Plan",
    "Shape",
    "ToCut",
    "cutting_data",
    "cutting_lines",
    "money",
    "named_stations",
    "open_plan",
    "plan_data",
    "proof_words",
]
