"""What hangs together in a fault: which element each service runs over, who goes dark with it, what failed."""
