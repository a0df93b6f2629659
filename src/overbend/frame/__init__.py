"""The piece in space: parts placed, where they meet, how they are joined and marked."""

from overbend.frame.clash import Clash, clashes, shared_volume
from overbend.frame.contact import Contact, Misfit, find_contacts, meetings, misfit_at
from overbend.frame.glueface import WET_FRICTION, GlueFace, PegPlan, WedgeCaul, glue_face
from overbend.frame.joint_checks import MeetingHoles, meeting_holes
from overbend.frame.joint_records import Block, Check, Filler, Joint, JointSpec, Word, worst_word
from overbend.frame.joints import joint_at, joints_of, reach_of
from overbend.frame.marking import Mark, Spacer, Stick, spacers_of, story_sticks
from overbend.frame.mass import Mass, PieceMass, body_mass, piece_mass
from overbend.frame.midline import MidLine, straight_line
from overbend.frame.order import Assembly, Step, assembly_of
from overbend.frame.placement import Pose, Row, even_row, face_word, instance_ids, plane_pose
from overbend.frame.places import OwnPlace, Placed, Spot
from overbend.frame.saw import EndCut, SawAngles, end_cut, saw_angles
from overbend.frame.solid import Body, Mesh
from overbend.frame.standing import Item, RowOf, Spanning, Standing, place_all

__all__ = [
    "WET_FRICTION",
    "Assembly",
    "Block",
    "Body",
    "Check",
    "Clash",
    "Contact",
    "EndCut",
    "Filler",
    "GlueFace",
    "Item",
    "Joint",
    "JointSpec",
    "Mark",
    "Mass",
    "MeetingHoles",
    "Mesh",
    "MidLine",
    "Misfit",
    "OwnPlace",
    "PegPlan",
    "PieceMass",
    "Placed",
    "Pose",
    "Row",
    "RowOf",
    "SawAngles",
    "Spacer",
    "Spanning",
    "Spot",
    "Standing",
    "Step",
    "Stick",
    "WedgeCaul",
    "Word",
    "assembly_of",
    "body_mass",
    "clashes",
    "end_cut",
    "even_row",
    "face_word",
    "find_contacts",
    "glue_face",
    "instance_ids",
    "joint_at",
    "joints_of",
    "meeting_holes",
    "meetings",
    "misfit_at",
    "piece_mass",
    "place_all",
    "plane_pose",
    "reach_of",
    "saw_angles",
    "shared_volume",
    "spacers_of",
    "story_sticks",
    "straight_line",
    "worst_word",
]
