"""Quantities: ranges, units, how people write them, and values traced to what they rest on."""
