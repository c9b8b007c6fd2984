"""What is printed: the day's needs and the packing list, for people and for programs."""
