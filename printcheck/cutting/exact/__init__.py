"""Bounds, proofs and exact positions."""
