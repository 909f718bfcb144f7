"""A lesson for other devices: the files of a site, and a server for the local network."""
