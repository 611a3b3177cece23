"""The command line: one module a command, heavy libraries imported only inside the command that needs them."""
