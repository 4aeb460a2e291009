"""Tape measures and rulers."""
