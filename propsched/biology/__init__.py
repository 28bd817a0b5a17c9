"""What plants make of warmth, light and time."""
