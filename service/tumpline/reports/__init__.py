"""What is told about shifts that are over, made from their summary documents."""
