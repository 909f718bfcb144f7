"""The practice page: one HTML file that plays the band at any tempo, with no network."""
