"""Invented cases of an invented plant, to show the tool at work. Nothing here is a real chain, place or person."""
