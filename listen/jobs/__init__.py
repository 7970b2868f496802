"""Jobs: many recordings, over all cores or a cluster, each read once."""

from listen.jobs.cache import CheckCache
from listen.jobs.check_class import CheckJob, check_class
from listen.jobs.students import StudentRecording, find_passed_over, find_recordings, name_order, name_students

__all__ = [
    "CheckCache",
    "CheckJob",
    "StudentRecording",
    "check_class",
    "find_passed_over",
    "find_recordings",
    "name_order",
    "name_students",
]
