"""From edges to distance, speed and acceleration."""
