"""The version of the package, by itself so that no module has to import the public surface."""

__version__ = "0.1.0"
