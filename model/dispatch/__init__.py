"""What a fault desk hands to a technician: the place, whom not to disturb, levels to expect, spares, and the repair."""
