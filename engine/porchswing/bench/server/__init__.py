"""The bench's server: one chart file, one page, one socket; no music in it."""
