"""The words of every finding, a table to each stage that makes it."""
