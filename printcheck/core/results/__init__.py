"""What is done with results whatever they are of: compared, rescaled, read back."""
