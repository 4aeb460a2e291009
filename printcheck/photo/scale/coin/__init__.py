"""Coins: round, metal, of known diameter."""
