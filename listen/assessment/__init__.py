"""Assessment: what a student played, judged against what was set. Pure: no audio, no files."""

from listen.assessment.assess import Judged, assess, judge
from listen.assessment.target import check_playable, lay_out

__all__ = ["Judged", "assess", "check_playable", "judge", "lay_out"]
