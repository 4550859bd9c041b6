"""What to do about it: how big a heater, and which change to the house pays."""
