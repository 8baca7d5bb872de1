"""The drawings of the book in hardware/: from the car file, the parts and the firmware's pins."""
