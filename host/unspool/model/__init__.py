"""The run model: what a car should do, in closed form."""
