"""ringout reviews off-grid electrical installations: caravans, motorhomes, boats, cabins."""

__version__ = "0.1.0"
