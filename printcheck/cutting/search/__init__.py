"""Layouts found by search."""
