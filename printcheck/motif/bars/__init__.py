"""Bars of stripes, checks and plaids."""
