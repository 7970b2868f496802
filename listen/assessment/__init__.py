"""Assessment: what a student played, judged against what was set. Pure: no audio, no files."""

from listen.assessment.assess import JudgedCheck, assess, judge
from listen.assessment.compare import SAME_SHARE, compare_checks
from listen.assessment.demonstration import follow_demonstration
from listen.assessment.playable import check_playable
from listen.assessment.target import Score, Target, find_target, find_usual_shape, lay_out_score
from listen.assessment.teacher import add_words, apply_words, check_places, take_back, take_back_place

__all__ = [
    "SAME_SHARE",
    "JudgedCheck",
    "Score",
    "Target",
    "add_words",
    "apply_words",
    "assess",
    "check_places",
    "check_playable",
    "compare_checks",
    "find_target",
    "find_usual_shape",
    "follow_demonstration",
    "judge",
    "lay_out_score",
    "take_back",
    "take_back_place",
]
