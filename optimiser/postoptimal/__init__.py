"""What becomes of a settled optimum as its costs or one of its bounds move."""
