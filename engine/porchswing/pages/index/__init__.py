"""The index page of a lesson: one plain page that says what is in the folder and in what order."""

from porchswing.pages.index.index_page import (
    IndexGroup,
    IndexLead,
    IndexRow,
    IndexStep,
    index_page,
)

__all__ = ["IndexGroup", "IndexLead", "IndexRow", "IndexStep", "index_page"]
