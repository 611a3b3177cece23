"""The command line: one module a command; heavy libraries are imported inside the command that needs them."""
