"""What is wrong or missing before publication."""
