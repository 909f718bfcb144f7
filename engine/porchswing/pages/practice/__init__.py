"""The practice page: one HTML file that plays the band at any tempo, with no network."""

from porchswing.pages.practice.build import practice_page
from porchswing.pages.practice.lane import PageLane

__all__ = ["PageLane", "practice_page"]
