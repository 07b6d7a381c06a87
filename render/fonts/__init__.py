"""The lettering font that ships with the program, and its advance table."""
