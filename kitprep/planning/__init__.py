"""What a day needs, worked out: pure functions of the kit and the day plan, one rule a room."""
