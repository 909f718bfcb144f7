"""The practice page: one HTML file that plays the band at any tempo, with no network."""

from porchswing.pages.practice.page_lane import PageLane
from porchswing.pages.practice.practice_page import practice_page

__all__ = ["PageLane", "practice_page"]
