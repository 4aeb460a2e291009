"""Tests of the page and its server."""
