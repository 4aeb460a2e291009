"""Clothes, drafted from body measures."""
