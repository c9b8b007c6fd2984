"""From one day to the next: a plan copied with its comments, and two days held side by side."""
