"""Figures of a chain, drawn to scale with key letters: a scene without a device, and its writers."""
