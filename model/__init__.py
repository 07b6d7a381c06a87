"""What exists in the plant and how it is judged: no Qt, no drawing, no clock, no random source."""
