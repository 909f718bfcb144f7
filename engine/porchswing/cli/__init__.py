"""The command line: one module a command, options made from the table of options."""
