"""Physics on points, lifted over leaves: resistance, drop, sharing, converters, chargers, solar."""
