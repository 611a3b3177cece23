"""Case and rule files as text: read strictly, located exactly, changed without disturbing the rest."""
