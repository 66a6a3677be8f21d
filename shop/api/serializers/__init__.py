"""What the API reads and answers, a module for each group of endpoints."""
