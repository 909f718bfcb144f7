"""Commands that exchange charts with notation programs."""
