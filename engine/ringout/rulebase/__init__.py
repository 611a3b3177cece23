"""The rule base: rules and limits read from `rules/`, checked against the catalogue of facts."""
