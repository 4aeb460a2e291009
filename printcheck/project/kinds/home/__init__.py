"""Furnishings and small things for the house."""
