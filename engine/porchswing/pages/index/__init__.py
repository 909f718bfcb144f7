"""The index page of a lesson: one plain page that says what is in the folder and in what order."""

from porchswing.pages.index.index_page import IndexGroup, IndexRow, index_page

__all__ = ["IndexGroup", "IndexRow", "index_page"]
