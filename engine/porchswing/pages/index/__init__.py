"""The index pages of a lesson and of a course: what is in the folder, and in what order."""

from porchswing.pages.index.course_page import course_page
from porchswing.pages.index.index_page import (
    IndexGroup,
    IndexLead,
    IndexRow,
    IndexStep,
    index_page,
)

__all__ = ["IndexGroup", "IndexLead", "IndexRow", "IndexStep", "course_page", "index_page"]
