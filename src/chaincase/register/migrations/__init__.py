"""How the tables of an older register become those of this version, step by step."""
