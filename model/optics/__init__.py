"""Loss, bends, power classes and distances along a traced path."""
